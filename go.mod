module quoin

go 1.26.0

require (
	github.com/antchfx/xpath v1.3.9
	github.com/beevik/etree v1.8.1
	github.com/pdfcpu/pdfcpu v0.15.0
	github.com/santhosh-tekuri/jsonschema/v6 v6.0.3
	github.com/shopspring/decimal v1.6.0
	github.com/spf13/cobra v1.10.2
	github.com/stretchr/testify v1.12.1
	github.com/terminalstatic/go-xsd-validate v0.1.8
	go.yaml.in/yaml/v3 v3.0.6
	golang.org/x/text v0.44.0
)

require (
	github.com/cpuguy83/go-md2man/v2 v2.0.6 // indirect
	github.com/hhrutter/tiff v1.0.6 // indirect
	github.com/inconshreveable/mousetrap v1.1.0 // indirect
	github.com/russross/blackfriday/v2 v2.1.0 // indirect
	github.com/spf13/pflag v1.0.10 // indirect
	golang.org/x/crypto v0.54.0 // indirect
	golang.org/x/image v0.44.0 // indirect
)
