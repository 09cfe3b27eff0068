#!/usr/bin/env bash
# What CI checks beside the tests: formatting, vet, staticcheck, a tidy go.mod,
# and generated files that are fresh.
set -eu
cd "$(dirname "$0")/.."
staticcheck=honnef.co/go/tools/cmd/staticcheck@v0.7.0
tags="man $(pkg-config --exists libxml-2.0 2>/dev/null && echo libxml2 || true)"

unformatted=$(gofmt -l cmd convert jdf schemas testdata validate)
if [ -n "$unformatted" ]; then
	echo "not formatted, run gofmt -w on: $unformatted"
	exit 1
fi
go vet -tags "$tags" ./...
go run "$staticcheck" -tags "$tags" ./...
# The same for the program that only checks, where it differs.
checker="./cmd/quoin ./validate/render"
CGO_ENABLED=0 go vet -tags checker $checker
CGO_ENABLED=0 go run "$staticcheck" -tags checker $checker
go mod tidy -diff
standard=${QUOIN_STANDARD:-../shared/standard}
if [ -d "$standard" ]; then
	go run ./schemas/generate -jdf "$standard/jdf" -xjdf "$standard/xjdf" -check
elif [ -n "${CI:-}" ]; then
	echo "the published standard is not at $standard; CI needs it to see that the tables are fresh"
	exit 1
fi
echo "lint: clean"
