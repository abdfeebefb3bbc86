// A module that no thread can load.
throw new Error("no start");
