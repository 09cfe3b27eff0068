package works_test

import (
	"testing"

	"github.com/stretchr/testify/require"

	"quoin/cmd/quoin/internal/works"
)

// A list goes on behind a mark, in every order, whatever came in meanwhile.
func testMarks(t *testing.T, h *house) {
	for n := range 4 {
		submit(t, h.Store, n)
	}
	for _, order := range []works.Order{works.ByQueue, works.ByDue, works.ByChange} {
		list := func(after works.Mark) []*works.Ticket {
			return ask(t, h.Store, func(tx *works.Tx) ([]*works.Ticket, error) {
				return tx.Tickets(works.TicketFilter{Order: order, After: after, Customer: "HARBOUR"})
			})
		}
		whole := list("")
		submit(t, h.Store, 9)
		rest := list(whole[1].Mark(order))
		require.Equal(t, whole[2].ID, rest[0].ID)
		require.GreaterOrEqual(t, len(rest), len(whole)-2)
		_, err := works.Ask(t.Context(), h.Store, func(tx *works.Tx) ([]*works.Ticket, error) {
			return tx.Tickets(works.TicketFilter{Order: order, After: "x"})
		})
		require.ErrorIs(t, err, works.ErrMark)
	}
}
