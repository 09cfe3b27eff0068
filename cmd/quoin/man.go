//go:build man && !checker

package main

import (
	"fmt"
	"os"
	"time"

	"github.com/spf13/cobra"
	"github.com/spf13/cobra/doc"
)

func newMan(io streams) *cobra.Command {
	return &cobra.Command{
		Use:   "man FOLDER",
		Short: "Write the manual pages of all commands into a folder",
		Args:  justOne("folder"),
		RunE: func(cmd *cobra.Command, args []string) error {
			if err := os.MkdirAll(args[0], 0o755); err != nil {
				return fmt.Errorf("make folder for manual pages: %w", err)
			}
			root := cmd.Root()
			root.DisableAutoGenTag = true // the pages are the same whenever they are made
			epoch := time.Unix(0, 0).UTC()
			if err := doc.GenManTree(root, &doc.GenManHeader{Section: "1", Source: "Quoin", Date: &epoch}, args[0]); err != nil {
				return fmt.Errorf("write manual pages: %w", err)
			}
			return nil
		},
	}
}

func extra(io streams) []*cobra.Command { return []*cobra.Command{newMan(io)} }
