//go:build !checker

package main

import (
	"errors"
	"fmt"
	"runtime/debug"
	"time"

	"github.com/spf13/cobra"

	"quoin/cmd/quoin/internal/service"
)

// buildVersion is the version of this build, as audits and messages name it.
func buildVersion() string {
	if info, ok := debug.ReadBuildInfo(); ok && info.Main.Version != "" {
		return info.Main.Version
	}
	return "devel"
}

func newBackup(io streams) *cobra.Command {
	var store string
	cmd := &cobra.Command{
		Use:   "backup FILE --store STORE",
		Short: "Write all that a service has stored into one file, while it goes on",
		Long: "Backup writes the store as it is at one moment into a new SQLite file, whichever kind of store it is.\n" +
			"The service goes on meanwhile. The file appears only when it is whole.",
		Example: "  quoin backup /backup/quoin-2026-11-25.db --store /var/lib/quoin/quoin.db",
		Args:    justOne("file"),
		RunE: func(cmd *cobra.Command, args []string) error {
			address, err := storeAddress(store)
			if err != nil {
				return err
			}
			db, _, _, err := service.OpenStore(cmd.Context(), address, nil, time.Now)
			if err != nil {
				return err
			}
			if err := errors.Join(db.Backup(cmd.Context(), args[0]), db.Close()); err != nil {
				return fmt.Errorf("back up %s: %w", db.Name(), err)
			}
			fmt.Fprintf(io.err, "quoin: %s is backed up in %s\n", db.Name(), args[0])
			return nil
		},
	}
	cmd.Flags().StringVar(&store, "store", defaultStore, "the store, as of quoin serve")
	return cmd
}

func newRestore(io streams) *cobra.Command {
	var store string
	cmd := &cobra.Command{
		Use:   "restore FILE --store STORE",
		Short: "Fill an empty store from a backup",
		Long: "Restore fills a store that holds nothing yet, of either kind, from a file that quoin backup wrote. So a\n" +
			"store also moves from one kind to the other. The service must not run on it meanwhile.",
		Example: "  quoin restore /backup/quoin-2026-11-25.db --store env:QUOIN_STORE",
		Args:    justOne("file"),
		RunE: func(cmd *cobra.Command, args []string) error {
			address, err := storeAddress(store)
			if err != nil {
				return err
			}
			db, _, _, err := service.OpenStore(cmd.Context(), address, nil, time.Now)
			if err != nil {
				return err
			}
			if err := errors.Join(db.Restore(cmd.Context(), args[0]), db.Close()); err != nil {
				return fmt.Errorf("restore %s: %w", db.Name(), err)
			}
			fmt.Fprintf(io.err, "quoin: %s holds what is in %s\n", db.Name(), args[0])
			return nil
		},
	}
	cmd.Flags().StringVar(&store, "store", defaultStore, "the store, as of quoin serve")
	return cmd
}
