#!/usr/bin/env bash
# Looks for the tools that tests compare Quoin with, and installs them where it
# can: xmllint with the headers of libxml2, other readers of packages, a
# PostgreSQL server, a browser for the board, and the list of paper sizes
# (Debian: see packages below). Without them those tests say what they miss.
set -u
missing=""
for tool in xmllint:libxml2-utils zip:zip unzip:unzip python3:python3 chromium:chromium paperconf:libpaper-utils; do
	command -v "${tool%%:*}" >/dev/null || missing="$missing ${tool#*:}"
done
pkg-config --exists libxml-2.0 2>/dev/null || missing="$missing libxml2-dev pkg-config"
ls /usr/lib/postgresql/*/bin/postgres >/dev/null 2>&1 || missing="$missing postgresql"
if [ -z "$missing" ]; then
	exit 0
fi
if command -v apt-get >/dev/null && [ "$(id -u)" = 0 ]; then
	echo "installing$missing"
	# shellcheck disable=SC2086 # one word a package
	if apt-get update -qq && DEBIAN_FRONTEND=noninteractive apt-get install -y -qq --no-install-recommends $missing >/dev/null; then
		exit 0
	fi
fi
echo "the tests that compare with other programs need$missing; install them with: sudo apt-get install$missing"
