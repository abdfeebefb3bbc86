/** The entry of a thread: answers the tasks of {@link ./tasks.js}. */
import { handleTask } from "./tasks.js";
import { serveTasks } from "./threads.js";

serveTasks(handleTask);
