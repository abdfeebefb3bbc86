/** The entry of a thread: answers the tasks of {@link ./tasks.js}. */
import { handleTask, type Result, type Task } from "./tasks.js";
import { serveTasks } from "./threads.js";

serveTasks<Task, Result>(handleTask);
