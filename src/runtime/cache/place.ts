import { homedir } from "node:os";
import { join } from "node:path";

/**
 * Where measured facts are kept between runs: GOODGATE_CACHE where it is set, else the user's own cache folder.
 * @see XDG Base Directory Specification 0.8: $XDG_CACHE_HOME, or ~/.cache; the others by their system's custom
 */
export function cacheFolder(
  env: Readonly<Record<string, string | undefined>> = process.env,
  platform: NodeJS.Platform = process.platform,
  home: string = homedir(),
): string {
  if (env.GOODGATE_CACHE) return env.GOODGATE_CACHE;
  if (platform === "win32")
    return join(env.LOCALAPPDATA ?? join(home, "AppData", "Local"), "goodgate", "cache");
  if (platform === "darwin") return join(home, "Library", "Caches", "goodgate");
  return join(env.XDG_CACHE_HOME || join(home, ".cache"), "goodgate");
}
