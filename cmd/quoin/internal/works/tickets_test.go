package works_test

import (
	"fmt"
	"math/rand/v2"
	"slices"
	"strings"
	"testing"
	"time"

	"github.com/shopspring/decimal"
	"github.com/stretchr/testify/require"

	"quoin/cmd/quoin/internal/works"
)

// plan is a plan of n steps, each after the one before.
func plan(n int) works.Laid {
	l := works.Laid{Plan: []byte(`{"steps":true}`)}
	for i := range n {
		step := works.NewStep{
			Number: i, Part: fmt.Sprintf("p%d", i), Name: fmt.Sprintf("step %d", i), Process: "print",
			Device: fmt.Sprintf("press-%d", i), Run: 90 * time.Minute, Target: decimal.NewFromInt(5000), Unit: "sheets",
		}
		if i > 0 {
			step.Needs = []int{i - 1}
		}
		l.Steps = append(l.Steps, step)
	}
	return l
}

func lay(t *testing.T, s *works.Store, id int64, n int) []*works.Step {
	t.Helper()
	write(t, s, func(tx *works.Tx) (*works.Ticket, error) { return tx.Lay(id, plan(n), "planned") })
	return ask(t, s, func(tx *works.Tx) ([]*works.Step, error) { return tx.Steps(id) })
}

func report(t *testing.T, s *works.Store, step int64, states ...works.StepState) *works.Step {
	t.Helper()
	var p *works.Step
	for _, state := range states {
		p = write(t, s, func(tx *works.Tx) (*works.Step, error) {
			return tx.Report(step, works.StepReport{State: state, Reason: "said"})
		})
	}
	return p
}

func testLife(t *testing.T, h *house) {
	in := receive(t, h.Store, works.Incoming{Partner: "mis", Source: works.ByMessage, MessageID: "1",
		Body: []byte("<XJDF/>")})
	take := func(tx *works.Tx) (*works.Ticket, error) {
		return tx.Submit(works.Submission{Job: "SM-1", Partner: "mis", Inbox: in.ID, ReturnJMF: "http://mis"})
	}
	k := write(t, h.Store, take)
	require.Equal(t, "Q000001", k.EntryID)
	require.Equal(t, in.Blob, k.Blob)
	require.Equal(t, works.Submitted, k.State)
	require.Equal(t, works.EntryWaiting, k.Entry)
	require.Equal(t, 50, k.Priority)
	require.Equal(t, k, write(t, h.Store, take), "the same message gives the same ticket")
	require.Len(t, chores(t, h.Store, works.ChoreCheck), 1)

	h.clock.turn(time.Second)
	write(t, h.Store, func(tx *works.Tx) (*works.Ticket, error) {
		return tx.Check(k.ID, works.Checked{Version: 1, Warnings: 2, Report: []byte(`{}`), Reason: "2 warnings"})
	})
	steps := lay(t, h.Store, k.ID, 2)
	write(t, h.Store, func(tx *works.Tx) (int, error) {
		return 0, tx.SetDeviceTicket(steps[0].ID, works.DeviceTicket{Name: "a.xjdf", Body: []byte("<XJDF/>")})
	})
	move(t, h.Store, k.ID, works.Released)
	require.Len(t, chores(t, h.Store, works.ChoreRelease), 1)
	h.clock.turn(time.Minute)
	report(t, h.Store, steps[0].ID, works.StepReady, works.StepSent, works.StepRunning, works.StepDone)
	report(t, h.Store, steps[1].ID, works.StepReady, works.StepAccepted, works.StepMakeready, works.StepDone)
	k = ask(t, h.Store, func(tx *works.Tx) (*works.Ticket, error) { return tx.TicketOfEntry("Q000001") })
	require.Equal(t, works.Done, k.State)
	require.Equal(t, works.EntryPending, k.Entry)
	require.Len(t, chores(t, h.Store, works.ChoreReturn), 1)
	k = move(t, h.Store, k.ID, works.Returned)
	require.Equal(t, works.EntryCompleted, k.Entry)
	require.Equal(t, 2, move(t, h.Store, k.ID, works.Removed).Warnings)

	var lines []string
	for _, n := range ask(t, h.Store, func(tx *works.Tx) ([]works.Turn, error) { return tx.History(k.ID) }) {
		require.Equal(t, "one", n.Instance)
		lines = append(lines, fmt.Sprintf("%s %s: %s > %s (%s, %s)", n.At.Format(time.TimeOnly), n.Name, n.From, n.To,
			n.Reason, n.Who))
	}
	require.Equal(t, strings.TrimSpace(`
06:00:00 SM-1:  > received Waiting (submitted, anna)
06:00:01 SM-1: received Waiting > accepted Waiting (2 warnings, anna)
06:00:01 SM-1: accepted Waiting > planned Waiting (planned, anna)
06:00:01 SM-1: planned Waiting > released Waiting (by the test, anna)
06:01:01 step 0: waiting > ready (said, anna)
06:01:01 step 0: ready > sent (said, anna)
06:01:01 step 0: sent > running (said, anna)
06:01:01 SM-1: released Waiting > running Running (step 0 has begun, anna)
06:01:01 step 0: running > done (said, anna)
06:01:01 step 1: waiting > ready (said, anna)
06:01:01 step 1: ready > accepted (said, anna)
06:01:01 step 1: accepted > makeready (said, anna)
06:01:01 step 1: makeready > done (said, anna)
06:01:01 SM-1: running Running > done PendingReturn (all steps are done, anna)
06:01:01 SM-1: done PendingReturn > returned Completed (by the test, anna)
06:01:01 SM-1: returned Completed > removed Removed (by the test, anna)`), strings.Join(lines, "\n"))
}

func testSteps(t *testing.T, h *house) {
	k := submit(t, h.Store, 1)
	move(t, h.Store, k.ID, works.Accepted)
	for name, wrong := range map[string][]works.NewStep{
		"the plan has no steps": nil, "two steps have the number 1": {{Number: 1}, {Number: 1}},
		"step 1 waits for step 2, which does not come before it": {{Number: 1, Needs: []int{2}}, {Number: 2}},
	} {
		err := h.Write(t.Context(), "", func(tx *works.Tx) error {
			_, err := tx.Lay(k.ID, works.Laid{Steps: wrong}, "")
			return err
		})
		require.ErrorContains(t, err, name)
	}
	first := lay(t, h.Store, k.ID, 2)
	refused(t, h.Store, func(tx *works.Tx) error { // its ticket is not released
		_, err := tx.Report(first[0].ID, works.StepReport{State: works.StepRunning})
		return err
	})
	steps := lay(t, h.Store, k.ID, 2)
	require.NotEqual(t, first[0].ID, steps[0].ID, "planned anew")
	require.Empty(t, chores(t, h.Store, works.ChoreRecall), "nothing was on its way")
	move(t, h.Store, k.ID, works.Released)
	report(t, h.Store, steps[0].ID, works.StepReady, works.StepSent)

	at := h.clock.read()
	good, less := decimal.RequireFromString("1200.5"), decimal.NewFromInt(900)
	say := func(at time.Time, state works.StepState, good *decimal.Decimal) error {
		return h.Write(t.Context(), "", func(tx *works.Tx) error {
			_, err := tx.Report(steps[0].ID, works.StepReport{State: state, At: at, Good: good})
			return err
		})
	}
	require.NoError(t, say(at.Add(time.Minute), works.StepRunning, &good))
	require.ErrorIs(t, say(at, works.StepMakeready, &less), works.ErrState, "older than what is known")
	negative := decimal.NewFromInt(-1)
	require.ErrorIs(t, say(at.Add(time.Hour), "", &negative), works.ErrState)
	require.NoError(t, say(at.Add(time.Minute), works.StepRunning, &good), "the same again")
	require.NoError(t, say(at.Add(2*time.Minute), works.StepFailed, nil))
	p := ask(t, h.Store, func(tx *works.Tx) (*works.Step, error) { return tx.Step(steps[0].ID) })
	require.Equal(t, "1200.5", p.Good.String())
	require.Equal(t, at.Add(time.Minute), p.Began)
	require.Equal(t, at.Add(2*time.Minute), p.Ended)
	require.Equal(t, 90*time.Minute, p.Run)
	p = report(t, h.Store, p.ID, works.StepReady)
	require.Equal(t, 2, p.Tries)
	require.True(t, p.Ended.IsZero())
	require.Len(t, chores(t, h.Store, works.ChoreRelease), 2, "by the release, and when it was made ready again")

	k = move(t, h.Store, k.ID, works.Aborted)
	require.Equal(t, works.EntryPending, k.Entry)
	require.Len(t, chores(t, h.Store, works.ChoreRecall), 1)
	for _, p := range ask(t, h.Store, func(tx *works.Tx) ([]*works.Step, error) { return tx.Steps(k.ID) }) {
		require.Equal(t, works.StepCancelled, p.State)
	}
	require.Len(t, ask(t, h.Store, func(tx *works.Tx) ([]*works.Step, error) { return tx.AllSteps(k.ID) }), 4)
	require.Equal(t, works.EntryAborted, move(t, h.Store, k.ID, works.Returned).Entry, "what became of it is kept")
}

func testFindStep(t *testing.T, h *house) {
	k := submit(t, h.Store, 1)
	move(t, h.Store, k.ID, works.Accepted)
	l := plan(3)
	for i := range l.Steps {
		l.Steps[i].Device = "press"
	}
	write(t, h.Store, func(tx *works.Tx) (*works.Ticket, error) { return tx.Lay(k.ID, l, "") })
	steps := ask(t, h.Store, func(tx *works.Tx) ([]*works.Step, error) { return tx.Steps(k.ID) })
	find := func(r works.StepRef) int64 {
		p, err := works.Ask(t.Context(), h.Store, func(tx *works.Tx) (*works.Step, error) { return tx.FindStep(r) })
		if err != nil {
			require.ErrorIs(t, err, works.ErrUnknown)
			return 0
		}
		return p.ID
	}
	require.Equal(t, steps[1].ID, find(works.StepRef{Device: "press", Job: "SM-1", Part: "p1"}))
	require.Zero(t, find(works.StepRef{Device: "folder", Job: "SM-1", Part: "p1"}))
	require.Zero(t, find(works.StepRef{Device: "press", Job: "SM-1"}), "any of three")
	move(t, h.Store, k.ID, works.Released)
	write(t, h.Store, func(tx *works.Tx) (*works.Step, error) {
		return tx.Report(steps[0].ID, works.StepReport{State: works.StepReady})
	})
	require.Equal(t, steps[0].ID, find(works.StepRef{Device: "press", Job: "SM-1"}), "the one that is on its way")
	write(t, h.Store, func(tx *works.Tx) (*works.Step, error) {
		return tx.Report(steps[2].ID, works.StepReport{State: works.StepRunning, Queued: "17"})
	})
	require.Equal(t, steps[2].ID, find(works.StepRef{Device: "press", Job: "SM-1"}), "the one that runs")
	require.Equal(t, steps[2].ID, find(works.StepRef{Device: "press", Queued: "17", Job: "of another name"}))
	order := ask(t, h.Store, func(tx *works.Tx) ([]*works.Step, error) { return tx.DeviceSteps("press") })
	require.Equal(t, []int64{steps[2].ID, steps[0].ID, steps[1].ID}, []int64{order[0].ID, order[1].ID, order[2].ID})
}

func testResubmission(t *testing.T, h *house) {
	k := submit(t, h.Store, 1)
	again := works.Submission{Job: "SM-1", Name: "Tide tables, corrected", Body: []byte("<XJDF a='2'/>")}
	k = write(t, h.Store, func(tx *works.Tx) (*works.Ticket, error) { return tx.Resubmit(k.ID, again) })
	require.EqualValues(t, 2, k.Version)
	refused(t, h.Store, func(tx *works.Tx) error { // somebody has checked what it was before
		_, err := tx.Check(k.ID, works.Checked{Version: 1})
		return err
	})
	write(t, h.Store, func(tx *works.Tx) (*works.Ticket, error) { return tx.Check(k.ID, works.Checked{Version: 2}) })
	steps := lay(t, h.Store, k.ID, 1)
	move(t, h.Store, k.ID, works.Released)
	report(t, h.Store, steps[0].ID, works.StepReady, works.StepSent)
	k = write(t, h.Store, func(tx *works.Tx) (*works.Ticket, error) { return tx.Resubmit(k.ID, again) })
	require.Equal(t, works.Submitted, k.State)
	require.Equal(t, "http://mis/jmf", ask(t, h.Store, func(tx *works.Tx) (*works.Ticket,
		error) {
		return tx.Ticket(k.ID)
	}).ReturnJMF)
	require.Len(t, chores(t, h.Store, works.ChoreRecall), 1)
	require.Len(t, chores(t, h.Store, works.ChoreCheck), 3)
	write(t, h.Store, func(tx *works.Tx) (*works.Ticket, error) { return tx.Check(k.ID, works.Checked{}) })
	steps = lay(t, h.Store, k.ID, 1)
	move(t, h.Store, k.ID, works.Released)
	report(t, h.Store, steps[0].ID, works.StepRunning)
	refused(t, h.Store, func(tx *works.Tx) error { // it runs
		_, err := tx.Resubmit(k.ID, again)
		return err
	})
}

// The queue is held against a list that is ordered by hand.
func testQueueOrder(t *testing.T, h *house) {
	r := rand.New(rand.NewPCG(7, 7))
	var model []*works.Ticket
	for n := range 8 {
		h.clock.turn(time.Duration(r.IntN(2)) * time.Second)
		model = append(model, submit(t, h.Store, n))
	}
	sortByPriority := func() {
		slices.SortStableFunc(model, func(a, b *works.Ticket) int { return b.Priority - a.Priority })
	}
	for range 60 {
		i, j := r.IntN(len(model)), r.IntN(len(model))
		k := model[i]
		switch r.IntN(3) {
		case 0: // between its old neighbours of the new priority it keeps the place of its submission
			if k.Priority == 50 {
				continue
			}
			write(t, h.Store, func(tx *works.Tx) (*works.Ticket, error) { return tx.Place(k.ID, 0) })
			model = append(slices.Delete(model, i, i+1), k)
			k.Priority = model[len(model)-2].Priority
		case 1:
			if i == j {
				continue
			}
			before := model[j]
			write(t, h.Store, func(tx *works.Tx) (*works.Ticket, error) { return tx.Place(k.ID, before.ID) })
			k.Priority = before.Priority
			model = slices.Delete(model, i, i+1)
			at := slices.Index(model, before)
			model = slices.Insert(model, at, k)
		case 2:
			if i != 0 { // the first stays the first with a higher priority
				continue
			}
			k.Priority = min(100, k.Priority+r.IntN(20))
			write(t, h.Store, func(tx *works.Tx) (*works.Ticket, error) { return tx.SetPriority(k.ID, k.Priority) })
		}
		sortByPriority()
		var want, got []string
		for _, k := range model {
			want = append(want, k.Job)
		}
		for _, k := range ask(t, h.Store, func(tx *works.Tx) ([]*works.Ticket,
			error) {
			return tx.Tickets(works.TicketFilter{})
		}) {
			got = append(got, k.Job)
		}
		require.Equal(t, want, got)
	}
	move(t, h.Store, model[0].ID, works.Aborted)
	refused(t, h.Store, func(tx *works.Tx) error {
		_, err := tx.Place(model[0].ID, model[1].ID)
		return err
	})
}

func testList(t *testing.T, h *house) {
	for n := range 5 {
		submit(t, h.Store, n)
	}
	move(t, h.Store, 2, works.Accepted)
	lay(t, h.Store, 2, 1)
	count := func(f works.TicketFilter) int {
		list := ask(t, h.Store, func(tx *works.Tx) ([]*works.Ticket, error) { return tx.Tickets(f) })
		require.Equal(t, ask(t, h.Store, func(tx *works.Tx) (int, error) { return tx.CountTickets(f) }), len(list))
		return len(list)
	}
	require.Equal(t, 5, count(works.TicketFilter{}))
	require.Equal(t, 1, count(works.TicketFilter{States: []works.State{works.Planned, works.Done}}))
	require.Equal(t, 1, count(works.TicketFilter{Device: "press-0"}))
	require.Equal(t, 1, count(works.TicketFilter{Search: "sm-3"}))
	require.Equal(t, 0, count(works.TicketFilter{Search: "sm_3"}), "no wildcards for users")
	require.Equal(t, 5, count(works.TicketFilter{Search: "HARBOUR", Order: works.ByDue}))
	require.Equal(t, 0, count(works.TicketFilter{Since: h.clock.read().Add(time.Second), Order: works.ByChange}))
	require.Len(t, ask(t, h.Store, func(tx *works.Tx) ([]*works.Ticket, error) {
		return tx.Tickets(works.TicketFilter{Limit: 2, Offset: 4})
	}), 1)
}
