package works_test

import (
	"math/rand/v2"
	"slices"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"

	"quoin/cmd/quoin/internal/works"
)

// What may follow on what, written down once more and apart from the code: the
// queue entry as JMF has it, and the ways of a ticket through the house.
//
// From memory: the life cycle of queue entries in JMF 1.x, of which the schema
// has only the names.
var (
	entryMoves = table(`
Waiting: Held Running PendingReturn Completed Aborted Removed
Held: Waiting PendingReturn Completed Aborted Removed
Running: Suspended PendingReturn Completed Aborted
Suspended: Running PendingReturn Completed Aborted
PendingReturn: Completed Aborted
Completed: Removed
Aborted: Removed`)

	ticketMoves = table(`
received: accepted refused done aborted removed
refused: received removed
accepted: planned received done aborted removed
planned: planned released accepted received done aborted removed
released: running planned received done aborted removed
running: done aborted
done: returned removed
aborted: returned removed
returned: removed`)

	// The entry that each state goes with.
	entries = table(`
received: Waiting Held
refused:
accepted: Waiting Held
planned: Waiting Held
released: Waiting Held
running: Running Suspended
done: PendingReturn Completed
aborted: PendingReturn Aborted
returned: Completed Aborted
removed: Removed`)

	stepMoves = table(`
waiting: ready makeready running stopped done failed cancelled
ready: sent accepted makeready running stopped done failed cancelled
sent: ready accepted makeready running stopped done failed cancelled
accepted: ready makeready running stopped done failed cancelled
makeready: running stopped done failed cancelled
running: makeready stopped done failed cancelled
stopped: makeready running done failed cancelled
failed: ready done cancelled`)
)

func table(text string) map[string][]string {
	moves := map[string][]string{}
	for line := range strings.Lines(strings.TrimSpace(text)) {
		from, to, _ := strings.Cut(line, ":")
		moves[from] = strings.Fields(to)
	}
	return moves
}

func TestTables(t *testing.T) {
	for _, from := range works.States() {
		for _, to := range works.States() {
			require.Equal(t, slices.Contains(ticketMoves[string(from)], string(to)), from.Can(to), "%s to %s", from, to)
		}
	}
	for _, from := range works.StepStates() {
		for _, to := range works.StepStates() {
			require.Equal(t, slices.Contains(stepMoves[string(from)], string(to)), from.Can(to), "step %s to %s", from, to)
		}
	}
}

// testTransitions does what comes to mind to some tickets, allowed or not, and
// holds what the store says against the tables: what is allowed happens, what is
// not is refused and changes nothing, every change of a queue entry is one that
// JMF knows, and the history is without a gap.
func testTransitions(t *testing.T, h *house) {
	r := rand.New(rand.NewPCG(20261125, 8))
	allowed, not := 0, 0
	for n := range 30 {
		k := submit(t, h.Store, n)
		if n%2 == 0 { // whose sender wants nothing back
			k = write(t, h.Store, func(tx *works.Tx) (*works.Ticket, error) {
				return tx.Submit(works.Submission{Job: "J", Body: []byte("<XJDF/>")})
			})
		}
		state, entry := k.State, k.Entry
		for range 25 {
			var do func(tx *works.Tx) error
			var may bool
			if r.IntN(3) == 0 {
				to := []works.Entry{works.EntryWaiting, works.EntryHeld, works.EntryRunning, works.EntrySuspended,
					works.EntryCompleted}[r.IntN(5)]
				may = slices.Contains([]string{"Waiting Held", "Held Waiting", "Running Suspended", "Suspended Running"},
					string(entry)+" "+string(to))
				do = func(tx *works.Tx) error {
					_, err := tx.SetEntry(k.ID, to, "at random")
					return err
				}
			} else {
				to := works.States()[r.IntN(len(works.States()))]
				may = slices.Contains(ticketMoves[string(state)], string(to)) &&
					(to != works.Released || entry != works.EntryHeld) &&
					(to != works.Removed || entry != works.EntryPending)
				do = func(tx *works.Tx) error {
					_, err := tx.Move(k.ID, to, "at random")
					return err
				}
			}
			err := h.Write(t.Context(), "anna", do)
			now := ask(t, h.Store, func(tx *works.Tx) (*works.Ticket, error) { return tx.Ticket(k.ID) })
			if !may {
				require.ErrorIs(t, err, works.ErrState)
				require.Equal(t, []any{state, entry}, []any{now.State, now.Entry})
				not++
				continue
			}
			require.NoError(t, err)
			if now.Entry != works.NoEntry { // refused, and perhaps removed after that
				require.Contains(t, entries[string(now.State)], string(now.Entry))
				require.Equal(t, now.Entry == works.EntryPending, now.Returns() &&
					(now.State == works.Done || now.State == works.Aborted))
			}
			state, entry = now.State, now.Entry
			allowed++
		}
		checkHistory(t, h, k.ID)
	}
	require.Greater(t, allowed, 50)
	require.Greater(t, not, 50)
}

// checkHistory sees that each change begins where the one before ended, and that
// each change of the queue entry is one that there is.
func checkHistory(t *testing.T, h *house, ticket int64) {
	t.Helper()
	last := ""
	for _, n := range ask(t, h.Store, func(tx *works.Tx) ([]works.Turn, error) { return tx.History(ticket) }) {
		require.Equal(t, last, n.From)
		last = n.To
		_, from, _ := strings.Cut(n.From, " ")
		_, to, _ := strings.Cut(n.To, " ")
		if n.From == "" || from == to || from == "" || to == "" {
			continue // it begins, stays, or has not been or is no more in the queue
		}
		require.Contains(t, entryMoves[from], to, "queue entry from %s to %s", from, to)
	}
}
