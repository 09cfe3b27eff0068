#!/usr/bin/env bash
# Looks for the tools that tests compare Quoin with, and installs them where it
# can: xmllint with the headers of libxml2, and other readers of packages
# (Debian: see packages below). Without them those tests say what they miss.
set -u
if command -v xmllint zip unzip python3 | wc -l | grep -qx 4 && pkg-config --exists libxml-2.0 2>/dev/null; then
	exit 0
fi
packages="libxml2-utils libxml2-dev pkg-config zip unzip python3"
if command -v apt-get >/dev/null && [ "$(id -u)" = 0 ]; then
	echo "installing $packages"
	if apt-get update -qq && DEBIAN_FRONTEND=noninteractive apt-get install -y -qq $packages >/dev/null; then
		exit 0
	fi
fi
echo "the tests that compare with other programs need $packages; install them with: sudo apt-get install $packages"
