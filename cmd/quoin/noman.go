//go:build !man && !checker

package main

import "github.com/spf13/cobra"

// extra lists the commands that only a build with the tag man has. Writing
// manual pages needs a library that every start of the program would pay for.
func extra(streams) []*cobra.Command { return nil }
