#!/usr/bin/env bash
# Runs the demo and a slice of the tests on other versions of Node, whose binaries the registry has as a package, and
# holds their reports to the bytes that the installed version gives.
# usage: test/other-nodes.sh VERSION...        (after npm run build:tools)
set -euo pipefail
cd "$(dirname "$0")/.."
on() {
  local version=$1
  shift
  npm exec --yes --package="node@$version" -- node "$@"
}
SLICE="test/kernels test/measure/geometry test/measure/photo test/checks test/report test/gather test/demo/render.test.ts"
reports=$(mktemp -d)
trap 'rm -rf "$reports"' EXIT

node build/test/demo/audit-demo.js >/dev/null
check() { "$@" bin/goodgate.js check .cache/demo --json --no-cache || [ $? -eq 1 ]; }
check node >"$reports/own.json"
failed=0
for version in "$@"; do
  found=$(on "$version" --version)
  case $found in "v$version".*) ;; *) echo "expected Node $version, found $found" >&2; exit 1 ;; esac
  check on "$version" >"$reports/$version.json"
  if cmp "$reports/own.json" "$reports/$version.json"; then
    echo "Node $found: the report is the same to the byte as on $(node --version)"
  else
    failed=1
  fi
  # shellcheck disable=SC2086
  on "$version" node_modules/vitest/vitest.mjs run --project quick --reporter=dot $SLICE || failed=1
done
exit "$failed"
