import { Store } from "#goodgate/runtime/cache/store.js";

/** A store that keeps nothing: whatever is measured comes back with the result. */
export const noStore = new Store({ folder: undefined, lasting: false });
