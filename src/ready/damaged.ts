/** A file whose structure cannot be followed, so that nobody can say what it holds. `message` is one clause. */
export class DamagedFile extends Error {
  override readonly name = "DamagedFile";
}
