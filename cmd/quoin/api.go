//go:build !checker

package main

import (
	"github.com/spf13/cobra"

	"quoin/cmd/quoin/internal/api"
)

func newAPI(io streams) *cobra.Command {
	return &cobra.Command{
		Use:   "api",
		Short: "Write the description of the service's API, as OpenAPI 3.1",
		Long: "Api writes what `quoin serve` answers under " + api.Prefix + " to programs: every operation with who may ask\n" +
			"for it, its parameters and its answers. The service itself gives the same at " + api.Prefix + "/openapi.json.",
		Example: "  quoin api > openapi.json",
		Args:    cobra.NoArgs,
		RunE: func(*cobra.Command, []string) error {
			text, err := api.Describe()
			if err != nil {
				return err
			}
			_, err = io.out.Write(text)
			return err
		},
	}
}
