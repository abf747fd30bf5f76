# What run and compare share: finding a JDK, building, the class path. To be sourced.

new_enough() {
  local version
  [ -x "$1" ] || return 1
  version="$("$1" -version 2>&1 | sed -n 's/.* version "\([0-9]*\).*/\1/p' | head -n 1)"
  [ -n "$version" ] && [ "$version" -ge 25 ]
}

find_java() {
  local candidate
  for candidate in "${JAVA_HOME:+$JAVA_HOME/bin/java}" "$(command -v java || true)" /usr/lib/jvm/*/bin/java "$HOME"/.sdkman/candidates/java/*/bin/java \
    "$HOME"/.jdks/*/bin/java /Library/Java/JavaVirtualMachines/*/Contents/Home/bin/java; do
    if [ -n "$candidate" ] && new_enough "$candidate"; then
      printf '%s\n' "$candidate"
      return 0
    fi
  done
  echo "benchmarks: no JDK 25 or later found; install one or set JAVA_HOME" >&2
  return 1
}

# build_jars <folder of the benchmarks>
build_jars() {
  if [ "${BUILD:-yes}" != no ]; then
    (cd "$1/.." && mvn -B -q -pl benchmarks -am package -DskipTests)
  fi
}

# class_path <folder of the benchmarks>
class_path() {
  local jars=("$1"/target/estampage-benchmarks-*.jar)
  [ -f "${jars[0]}" ] || { echo "benchmarks: nothing is built; run without BUILD=no" >&2; return 1; }
  printf '%s:%s\n' "${jars[0]}" "$1/target/lib/*"
}
