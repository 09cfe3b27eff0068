# make demo   run the main job on the demo tickets
# make test   run all tests
# make build  build bin/quoin and bin/quoin-works; with libxml2 where its headers are
# make bench  measure, against a reference in the same run
# make lint   what CI checks beside the tests
# make man    write the manual pages

GO ?= go
export CGO_ENABLED ?= 1

# The XSD stage needs libxml2. Without its headers Quoin is built without it.
# Asked when a recipe runs, since `make test` may just have installed them.
TAGS = $$(pkg-config --exists libxml-2.0 2>/dev/null && echo libxml2)

.PHONY: build demo test bench lint man generate

# Two programs: quoin checks tickets and starts fast; all else it hands on to
# quoin-works beside it. `go build ./cmd/quoin` makes one program that does all.
build:
	@CGO_ENABLED=0 $(GO) build -trimpath -tags checker -o bin/quoin ./cmd/quoin
	@$(GO) build -trimpath -tags "$(TAGS)" -o bin/quoin-works ./cmd/quoin

demo: build
	@testdata/demo/run.sh bin/quoin

test:
	@testdata/tools.sh
	$(GO) test -race -tags "$(TAGS) man" ./...
	$(GO) test -tags "$(TAGS) man" -run RehearsedMonth ./cmd/quoin

# First the packages, then the built program against xmllint.
bench: build
	@testdata/tools.sh
	$(GO) test -run '^$$' -bench . -benchmem ./jdf/... ./schemas ./validate/... ./convert/... ./cmd/quoin/internal/...
	$(GO) run ./cmd/quoin/internal/bench -quoin bin/quoin

lint:
	@testdata/lint.sh

# Manual pages, into bin/man.
man:
	@$(GO) run -tags man ./cmd/quoin man bin/man

generate:
	$(GO) run ./schemas/generate -jdf ../shared/standard/jdf -xjdf ../shared/standard/xjdf
