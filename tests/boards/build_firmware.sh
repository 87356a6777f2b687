#!/usr/bin/env bash
# Builds the MicroPython image of an RP2040 board from Debian's packages alone. Installs nothing and needs no root.
#
#     build_firmware.sh WORK IMAGE
#
# WORK is an empty folder for everything in between; IMAGE is where the image goes, with IMAGE.packages beside it, one
# line a package with its version. Standard output tells the steps; standard error why there is no image, as the end of
# a sentence that begins with "The build", and WORK/log what the last program said.
set -euo pipefail
here="$(realpath "$1")"
image="$(realpath -m "$2")"
log="$here/log"

# The first of these that can be had. The SDK, the USB stack and the TLS library come from the suite whose versions
# both of them were written for; a newer SDK (2.2.0) moved headers that they do not find.
micropython_wanted="1.26. 1.25."
micropython_suites="trixie forky sid"
parts_suite="trixie"
jobs="${DOWNLOCK_BUILD_JOBS:-2}"

fail() { echo "$*" >&2; exit 1; }
for tool in apt-get dpkg-deb cmake make g++ python3; do
  command -v "$tool" > /dev/null || fail "needs $tool (a Debian machine with cmake, make and g++)"
done

# A private apt: own sources, lists and cache. The mirror is the one that this machine uses for its own suite.
own_suite="$(. /etc/os-release && echo "${VERSION_CODENAME:-}")"
mirror_line() {
  python3 - "$own_suite" << 'PYTHON'
import pathlib, re, sys

suite = sys.argv[1]
etc = pathlib.Path("/etc/apt")
for path in [*etc.glob("sources.list.d/*.sources"), etc / "sources.list", *etc.glob("sources.list.d/*.list")]:
    if not path.exists():
        continue
    for block in re.split(r"\n\s*\n", path.read_text()):
        if path.suffix == ".sources":
            lines = [line for line in block.splitlines() if not line.startswith("#")]
            found = dict(re.findall(r"^(\S+):[ \t]*(.*(?:\n[ \t].*)*)", "\n".join(lines), re.M))
            if suite in found.get("Suites", "").split() and "main" in found.get("Components", "").split():
                print(found["URIs"].split()[0], found.get("Signed-By", "").strip())
                raise SystemExit
        else:
            for line in re.findall(r"^deb\s+(?:\[[^]]*\]\s+)?(\S+)\s+(\S+)\s+(.*)$", block, re.M):
                if line[1] == suite and "main" in line[2].split():
                    print(line[0], "")
                    raise SystemExit
PYTHON
}
read -r mirror keyring <<< "$(mirror_line)" || true
[ -n "${mirror:-}" ] || fail "finds no mirror of Debian $own_suite in this machine's apt settings"
[ -f "${keyring:-}" ] || keyring=/usr/share/keyrings/debian-archive-keyring.gpg
mkdir -p "$here"/apt/{lists/partial,cache/archives/partial,packages}
: > "$here/apt/status"
{
  for suite in "$own_suite" "$parts_suite"; do echo "deb [signed-by=$keyring] $mirror $suite main"; done | sort -u
  for suite in $parts_suite $micropython_suites; do echo "deb-src [signed-by=$keyring] $mirror $suite main"; done | sort -u
} > "$here/apt/sources.list"
# How this machine reaches its mirror (proxy, certificates), without the hooks that would touch the system's own cache.
{
  apt-config dump | grep '^Acquire::' || true
  cat << SETTINGS
Dir::Etc::Main "/dev/null";
Dir::Etc::Parts "/dev/null";
Dir::Etc::SourceList "$here/apt/sources.list";
Dir::Etc::SourceParts "/dev/null";
Dir::Etc::Preferences "/dev/null";
Dir::Etc::PreferencesParts "/dev/null";
Dir::State "$here/apt";
Dir::State::Lists "$here/apt/lists";
Dir::State::status "$here/apt/status";
Dir::Cache "$here/apt/cache";
APT::Sandbox::User "";
SETTINGS
} > "$here/apt/apt.conf"
export APT_CONFIG="$here/apt/apt.conf"
echo "lists of packages"
apt-get update -q > "$log" 2>&1 || fail "cannot fetch the lists of packages from this machine's mirror"

source_version() {
  # The newest version of source package $1 that begins with $2, or nothing.
  apt-cache showsrc "$1" 2> /dev/null | sed -n 's/^Version: //p' | awk -v p="$2" 'index($0, p) == 1' | sort -V | tail -1
}
for wanted in $micropython_wanted; do
  micropython="$(source_version micropython "$wanted")"
  [ -z "$micropython" ] || break
done
[ -n "$micropython" ] || fail "finds none of the MicroPython versions $micropython_wanted in the suites $micropython_suites"

echo "packages: micropython $micropython; mbedtls, pico-sdk-source, tinyusb-source, gcc-arm-none-eabi"
cd "$here/apt/packages"
toolchain="gcc-arm-none-eabi binutils-arm-none-eabi libnewlib-dev libnewlib-arm-none-eabi
  libstdc++-arm-none-eabi-dev libstdc++-arm-none-eabi-newlib"
fetch_failed="cannot fetch the packages from this machine's mirror"
apt-get source -q --download-only "micropython=$micropython" "mbedtls/$parts_suite" > "$log" 2>&1 || fail "$fetch_failed"
apt-get download -q "pico-sdk-source/$parts_suite" "tinyusb-source/$parts_suite" \
  $(for package in $toolchain; do echo "$package/$own_suite"; done) > "$log" 2>&1 || fail "$fetch_failed"
unset APT_CONFIG

echo "unpacking"
packages="$here/apt/packages"
tool="$here/tool"
mkdir -p "$tool"
# Of the libraries for every ARM core only those of the RP2040's (armv6-m): the rest is four gigabytes.
for package in $toolchain; do
  dpkg-deb --fsys-tarfile "$packages/${package}"_*.deb | tar -x -C "$tool" --exclude='*/share/doc/*' \
    --exclude='*/newlib/arm/*' --exclude='*/newlib/thumb/[!v]*' --exclude='*/newlib/thumb/v[!6]*' \
    --exclude='*/gcc/arm-none-eabi/*/arm/*' --exclude='*/gcc/arm-none-eabi/*/thumb/[!v]*' \
    --exclude='*/gcc/arm-none-eabi/*/thumb/v[!6]*'
done
# The compiler looks beside itself for these once it does not lie in /usr.
ln -s newlib "$tool/usr/lib/arm-none-eabi/lib"
ln -s ../../include/newlib "$tool/usr/lib/arm-none-eabi/include"
export PATH="$tool/usr/bin:$PATH"
for package in pico-sdk-source tinyusb-source; do dpkg-deb -x "$packages/${package}"_*.deb "$here"; done
mkdir "$here/micropython" "$here/mbedtls"
tar -xf "$packages"/micropython_*.orig.tar.* -C "$here/micropython" --strip-components=1
tar -xf "$packages"/mbedtls_*.orig.tar.* -C "$here/mbedtls" --strip-components=1
lib="$here/micropython/lib"
rm -rf "$lib"/{tinyusb,mbedtls,pico-sdk}
ln -s "$here/usr/src/tinyusb" "$lib/tinyusb"
ln -s "$here/usr/src/pico-sdk" "$lib/pico-sdk"
ln -s "$here/mbedtls" "$lib/mbedtls"
# The build asks for this submodule; nothing of it is frozen.
mkdir -p "$lib/micropython-lib"
touch "$lib/micropython-lib/README.md"
echo 'freeze("$(PORT_DIR)/modules")' > "$here/manifest.py"

echo "building with $jobs jobs"
# No version from a repository that this folder may lie in, and no date: the same packages give the same image.
unset PICO_SDK_PATH
export GIT_CEILING_DIRECTORIES="$here" SOURCE_DATE_EPOCH=0
build="$here/build"
cmake -S "$here/micropython/ports/rp2" -B "$build" -G "Unix Makefiles" -DPICO_NO_PICOTOOL=1 -DMICROPY_BOARD=RPI_PICO \
  -DMICROPY_FROZEN_MANIFEST="$here/manifest.py" > "$log" 2>&1 ||
  fail "stopped in cmake: $(grep -m1 -A1 'CMake Error' "$log" | tr -s ' \n' ' ')"
cmake --build "$build" -j "$jobs" > "$log" 2>&1 ||
  fail "stopped: $(grep -m1 -E 'error:|Error ' "$log" || tail -1 "$log")"
[ -s "$build/firmware.bin" ] || fail "gave no firmware.bin"
{
  sed -n '/^Source:/{s/^Source: //;h};/^Version:/{s/^Version: //;H;x;s/\n/ /p}' "$packages"/*.dsc
  for file in "$packages"/*.deb; do dpkg-deb -f "$file" Package Version | sed 's/^[^:]*: //' | paste -sd' '; done
} > "$image.packages"
cp "$build/firmware.bin" "$image"
