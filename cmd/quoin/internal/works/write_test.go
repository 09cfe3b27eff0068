package works_test

import (
	"context"
	"errors"
	"fmt"
	"sync"
	"testing"
	"time"

	"github.com/stretchr/testify/require"

	"quoin/cmd/quoin/internal/works"
)

// While one change is being written others gather and share the next transaction:
// some go wrong, one panics, one is given up by its caller. Each has what it
// would have had alone.
func testTogether(t *testing.T, h *house) {
	begun, release := make(chan struct{}), make(chan struct{})
	var wg sync.WaitGroup
	wg.Go(func() {
		once := sync.OnceFunc(func() { close(begun) })
		err := h.Write(t.Context(), "", func(*works.Tx) error {
			once()
			<-release
			return nil
		})
		if err != nil {
			t.Errorf("write: %v", err)
		}
	})
	<-begun
	broken := errors.New("on purpose")
	given, giveUp := context.WithCancel(t.Context())
	errs, panicked := make([]error, 21), false
	for n := range errs {
		wg.Go(func() {
			defer func() {
				if recover() != nil {
					panicked = n == 20
				}
			}()
			ctx := t.Context()
			if n == 19 {
				ctx = given
			}
			errs[n] = h.Write(ctx, "anna", func(tx *works.Tx) error {
				if err := tx.SetValue(fmt.Sprint("value ", n), tx.Who()); err != nil {
					return err
				}
				tx.Emit(works.Event{Kind: "test", ID: int64(n)})
				switch {
				case n == 20:
					panic("on purpose")
				case n%3 == 0:
					return broken
				}
				return nil
			})
		})
	}
	time.Sleep(100 * time.Millisecond) // they wait
	giveUp()
	time.Sleep(20 * time.Millisecond)
	close(release)
	wg.Wait()
	require.True(t, panicked, "it panics where its caller sees it")
	written := 0
	for n, err := range errs {
		value := ask(t, h.Store, func(tx *works.Tx) (string, error) { return tx.Value(fmt.Sprint("value ", n)) })
		switch {
		case n == 20:
			require.Empty(t, value)
		case n == 19:
			require.ErrorIs(t, err, context.Canceled)
			require.Empty(t, value)
		case n%3 == 0:
			require.Equal(t, broken, err, "as it is")
			require.Empty(t, value)
		default:
			require.NoError(t, err)
			require.Equal(t, "anna", value)
			written++
		}
	}
	events, _, err := h.Since(t.Context(), 0, 100)
	require.NoError(t, err)
	require.Len(t, events, written, "one of each that was written")
}
