// A thread for the pool's tests: each task says what to do.
import { serveTasks } from "#goodgate/gather/threads.js";

serveTasks(async ({ act, value, ms }) => {
  switch (act) {
    case "echo":
      return value;
    case "wait":
      await new Promise((resolve) => setTimeout(resolve, ms));
      return value;
    case "throw":
      throw new RangeError(value);
    case "exit":
      return process.exit(3);
    case "crash":
      setTimeout(() => {
        throw new Error("crash");
      }, 0);
      return new Promise(() => {});
    case "spin":
      for (;;);
    case "age":
      return performance.now();
    case "write":
      value[0] = 42;
      return "written";
    default:
      throw new Error(`expected a known act, found ${act}`);
  }
});
