//go:build !checker

package main

import (
	"fmt"
	"runtime"
	"runtime/debug"

	"github.com/spf13/cobra"

	"quoin/jdf"
	"quoin/validate/xsd"
)

func newVersion(io streams) *cobra.Command {
	return &cobra.Command{
		Use:   "version",
		Short: "Say which build this is, and what is built in",
		Args:  cobra.NoArgs,
		RunE: func(*cobra.Command, []string) error {
			build := "devel"
			if info, ok := debug.ReadBuildInfo(); ok && info.Main.Version != "" {
				build = info.Main.Version
			}
			engine := "not built in; `make build` adds it where the libxml2 headers are"
			if xsd.BuiltIn() {
				engine = xsd.Version()
			}
			_, err := fmt.Fprintf(io.out, "quoin %s (%s)\nJDF and JMF %s to %s, XJDF and XJMF %s to %s\nXSD stage: %s\n",
				build, runtime.Version(), jdf.FirstJDF, jdf.LastJDF, jdf.FirstXJDF, jdf.LastXJDF, engine)
			return err
		},
	}
}
