package alerts_test

import (
	"bufio"
	"context"
	"encoding/json"
	"errors"
	"fmt"
	"io"
	"net"
	"net/http"
	"net/http/httptest"
	"path/filepath"
	"strings"
	"testing"
	"time"

	"github.com/shopspring/decimal"
	"github.com/stretchr/testify/require"

	"quoin/cmd/quoin/internal/alerts"
	"quoin/cmd/quoin/internal/database"
	"quoin/cmd/quoin/internal/works"
	"quoin/validate/plant"
)

// house is a store with a job on one press, and a watch over it.
type house struct {
	*alerts.Watch
	t      *testing.T
	now    time.Time
	ticket int64
	step   int64
	free   uint64
	colour []alerts.Colour
	broken error
}

var start = time.Date(2026, 11, 25, 8, 0, 0, 0, time.UTC)

func open(t *testing.T) *house {
	h := &house{t: t, now: start, free: 50}
	db, err := database.Open(t.Context(), filepath.Join(t.TempDir(), "quoin.db"))
	require.NoError(t, err)
	t.Cleanup(func() { require.NoError(t, db.Close()) })
	store, err := works.Open(t.Context(), db, works.Options{Clock: func() time.Time { return h.now }})
	require.NoError(t, err)
	h.Watch = &alerts.Watch{
		Store: store, Public: "https://board.example",
		Limits: &plant.Alerts{
			Late: 30 * time.Minute, Stop: 15 * time.Minute, Silent: 20 * time.Minute, Colour: plant.ColourDrift,
			Waste: decimal.NewFromInt(5), Refused: true, FreeDisk: decimal.NewFromInt(10), Delivery: 3,
			Settle: 5 * time.Minute, Back: decimal.NewFromInt(80), Gather: 2 * time.Minute,
			Notices: []*plant.Notice{
				{ID: "all", Webhook: "http://hook.example/"},
				{ID: "press", Mail: []string{"press@works.example"}, Kinds: []string{plant.AlertStop}},
			},
			Mail: plant.Mail{From: "quoin@works.example"},
		},
		Sources: alerts.Sources{
			Colour: func(context.Context) ([]alerts.Colour, error) { return h.colour, h.broken },
			Disk:   func() (uint64, uint64, error) { return h.free, 100, nil },
		},
	}
	h.write(func(tx *works.Tx) error {
		if err := tx.KeepDevices([]works.Device{{ID: "offset-b2", Name: "B2"}}); err != nil {
			return err
		}
		k, err := tx.Submit(works.Submission{
			Job: "SM-1", Partner: "mis", Body: []byte("<XJDF/>"), Due: start.Add(4 * time.Hour),
		})
		if err != nil {
			return err
		}
		h.ticket = k.ID
		if _, err := tx.Check(k.ID, works.Checked{Report: []byte("{}")}); err != nil {
			return err
		}
		_, err = tx.Lay(k.ID, works.Laid{Plan: []byte("{}"), Start: start, End: start.Add(2 * time.Hour), Steps: []works.NewStep{{
			Name: "print S1", Process: "print", Device: "offset-b2", Start: start, End: start.Add(2 * time.Hour),
			Target: decimal.NewFromInt(1000), Waste: decimal.NewFromInt(100), Unit: "sheets",
		}}}, "planned")
		if err != nil {
			return err
		}
		steps, err := tx.Steps(k.ID)
		if err == nil {
			h.step = steps[0].ID
			err = tx.SetDeviceTicket(h.step, works.DeviceTicket{Name: "a.xjdf", Body: []byte("<XJDF/>")})
		}
		if err != nil {
			return err
		}
		_, err = tx.Move(k.ID, works.Released, "go")
		return err
	})
	for _, s := range []works.StepState{works.StepReady, works.StepSent, works.StepRunning} {
		h.report(works.StepReport{State: s})
	}
	return h
}

func (h *house) write(f func(*works.Tx) error) {
	h.t.Helper()
	require.NoError(h.t, h.Store.Write(h.t.Context(), "test", f))
}

func (h *house) report(r works.StepReport) {
	h.t.Helper()
	h.write(func(tx *works.Tx) error { _, err := tx.Report(h.step, r); return err })
}

func (h *house) hear(state, details string) {
	h.t.Helper()
	h.write(func(tx *works.Tx) error {
		_, err := tx.Hear(works.DeviceNews{ID: "offset-b2", At: h.now, State: state, Details: details, Job: "SM-1"})
		return err
	})
}

// after lets time pass, looks, and gives the alerts that are not closed.
func (h *house) after(d time.Duration) []string {
	h.t.Helper()
	h.now = h.now.Add(d)
	require.NoError(h.t, h.Look(h.t.Context()))
	return h.open()
}

func (h *house) open() (all []string) {
	open, err := works.Ask(h.t.Context(), h.Store, func(tx *works.Tx) ([]*works.Alert, error) {
		return tx.Alerts(works.AlertFilter{States: []works.AlertState{works.AlertOpen, works.AlertAcknowledged}})
	})
	require.NoError(h.t, err)
	for _, a := range open {
		all = append(all, fmt.Sprintf("%s %s %d: %s", a.Kind, a.State, a.Count, a.Text))
	}
	return all
}

func (h *house) notices() (all []alerts.Gathered) {
	chores, err := works.Ask(h.t.Context(), h.Store, func(tx *works.Tx) ([]*works.Chore, error) {
		return tx.Chores(works.ChoreFilter{Kinds: []string{alerts.ChoreNotice}})
	})
	require.NoError(h.t, err)
	for _, c := range chores {
		var g alerts.Gathered
		require.NoError(h.t, json.Unmarshal(c.Data, &g))
		all = append(all, g)
	}
	return all
}

func TestStopComesAndGoes(t *testing.T) {
	h := open(t)
	h.hear("stopped", "PaperJam")
	require.Empty(t, h.after(15*time.Minute))
	got := h.after(time.Minute)
	require.Equal(t, []string{"stop open 1: offset-b2 (B2) has stood for 16 min, PaperJam, with job SM-1"}, got)
	require.Equal(t, got, h.open(), "looking again at the same moment adds nothing")

	h.hear("run", "")
	require.Len(t, h.after(3*time.Minute), 1, "it has to settle first")
	h.hear("stopped", "PaperJam")
	require.Len(t, h.after(4*time.Minute), 1, "it stands again, but not for long enough to count: what was past goes on")
	h.hear("run", "")
	h.after(time.Minute)
	require.Empty(t, h.after(5*time.Minute))
}

func TestSilent(t *testing.T) {
	h := open(t)
	h.hear("run", "")
	require.Empty(t, h.after(20*time.Minute))
	require.Contains(t, h.after(time.Minute)[0], "silent open 1: offset-b2 (B2) is at work on print S1 and has said nothing for 21 min")
	h.hear("run", "")
	h.after(time.Minute)
	require.Empty(t, h.after(5*time.Minute))
}

func TestLate(t *testing.T) {
	h := open(t)
	h.Limits.Silent = 0
	require.Empty(t, h.after(2*time.Hour+30*time.Minute))
	require.Equal(t, []string{
		"late open 1: job SM-1 is 31 min behind: print S1 on offset-b2 was planned to end at 2026-11-25 10:00 UTC",
	}, h.after(time.Minute))
	// As it gets later the text grows with it, in the one alert.
	require.Contains(t, h.after(2 * time.Hour)[0], "late open 2: job SM-1 is 2 h 31 min behind")
}

func TestWasteHasTwoEdges(t *testing.T) {
	h := open(t)
	h.Limits.Silent, h.Limits.Late = 0, 0
	waste := func(n int64) []string {
		d := decimal.NewFromInt(n)
		h.report(works.StepReport{Waste: &d})
		return h.after(10 * time.Minute)
	}
	require.Empty(t, waste(150), "50 over the 100 allowed are the limit itself")
	require.Equal(t, []string{"waste open 1: job SM-1, print S1 on offset-b2: 151 sheets wasted, 100 allowed; " +
		"5.1 % of the 1000 wanted are over the plan"}, waste(151))
	require.Len(t, waste(145), 1, "near the limit is not past")
	waste(139)
	require.Empty(t, waste(139))
}

func TestColourDiskRefusedDelivery(t *testing.T) {
	h := open(t)
	h.Limits.Silent, h.Limits.Late = 0, 0
	h.colour = []alerts.Colour{{Job: "SM-1", Device: "offset-b2", Drifts: true, Text: "Cyan in zone 7 drifts"}}
	h.free = 9
	h.write(func(tx *works.Tx) error {
		k, err := tx.Submit(works.Submission{Job: "SM-2", Partner: "mis", Body: []byte("<JDF/>")})
		if err != nil {
			return err
		}
		if _, err = tx.Check(k.ID, works.Checked{Refused: true, Reason: "3 errors", Report: []byte("{}")}); err != nil {
			return err
		}
		_, err = tx.Send(works.NewDelivery{Key: "a", Kind: "SubmitQueueEntry", Device: "offset-b2", Address: "http://x", Body: []byte("x")})
		return err
	})
	got := strings.Join(h.after(time.Minute), "\n")
	require.Contains(t, got, "colour open 1: job SM-1 on offset-b2: Cyan in zone 7 drifts")
	require.Contains(t, got, "disk open 1: 9 % of the disk of the store are free, want 10 %")
	require.Contains(t, got, "refused open 1: job SM-2 from mis was refused: 3 errors")
	require.NotContains(t, got, "delivery")

	// What cannot be looked at is neither raised nor closed.
	h.broken, h.colour, h.free = errors.New("no ledger"), nil, 12
	h.now = h.now.Add(time.Hour)
	require.ErrorContains(t, h.Look(t.Context()), "no ledger")
	got = strings.Join(h.open(), "\n")
	require.Contains(t, got, "colour open")
	require.Contains(t, got, "disk open", "12 % is near 10 %, by the share of 80 %")
	h.broken, h.free = nil, 13
	h.after(time.Minute)
	h.after(24 * time.Hour)
	require.Empty(t, h.after(6*time.Minute))
}

func TestNoticesGather(t *testing.T) {
	h := open(t)
	h.Limits.Late = 0
	h.hear("stopped", "PaperJam")
	h.free = 1
	h.after(time.Minute)
	require.Empty(t, h.notices(), "others may join it")
	h.after(16 * time.Minute)
	h.after(2 * time.Minute)
	got := h.notices()
	require.Len(t, got, 2)
	byID := map[string]alerts.Gathered{}
	for _, g := range got {
		byID[g.Notice] = g
	}
	require.Len(t, byID["all"].Alerts, 2)
	require.Equal(t, "https://board.example/alerts", byID["all"].Board)
	require.Len(t, byID["press"].Alerts, 1)
	require.Equal(t, plant.AlertStop, byID["press"].Alerts[0].Kind)
	h.after(time.Minute)
	require.Len(t, h.notices(), 2, "nobody is told twice")
}

func gathered(t *testing.T, notice string) *works.Chore {
	data, err := json.Marshal(alerts.Gathered{Notice: notice, Alerts: []alerts.GatheredItem{
		{ID: 7, Kind: "stop", Severity: "warning", Text: "offset-b2 stands\r\nBcc: all@works.example", Since: start},
		{ID: 8, Kind: "late", Severity: "warning", Text: "job Müller & Söhne is late", Since: start},
	}})
	require.NoError(t, err)
	return &works.Chore{Kind: alerts.ChoreNotice, Subject: notice, Version: "8", Data: data}
}

func TestWebhook(t *testing.T) {
	var got alerts.Gathered
	status := http.StatusOK
	server := httptest.NewServer(http.HandlerFunc(func(w http.ResponseWriter, r *http.Request) {
		require.Equal(t, "notice-all-8", r.Header.Get("Idempotency-Key"))
		require.NoError(t, json.NewDecoder(r.Body).Decode(&got))
		w.WriteHeader(status)
	}))
	defer server.Close()
	s := &alerts.Sender{
		Plant: "Saltmarsh Print Works", Client: server.Client(),
		Limits: &plant.Alerts{Notices: []*plant.Notice{{ID: "all", Webhook: server.URL}}},
	}
	require.NoError(t, s.Handle(t.Context(), gathered(t, "all")))
	require.Len(t, got.Alerts, 2)
	require.Equal(t, "Saltmarsh Print Works", got.Plant)
	status = http.StatusBadGateway
	require.ErrorContains(t, s.Handle(t.Context(), gathered(t, "all")), "502")
	require.ErrorContains(t, s.Handle(t.Context(), gathered(t, "gone")), "no longer in the plant file")
}

// post is a mail server that takes one letter.
func post(t *testing.T) (address string, letter <-chan string) {
	l, err := net.Listen("tcp", "127.0.0.1:0")
	require.NoError(t, err)
	t.Cleanup(func() { l.Close() })
	out := make(chan string, 1)
	go func() {
		conn, err := l.Accept()
		if err != nil {
			return
		}
		defer conn.Close()
		in, data, all := bufio.NewReader(conn), false, strings.Builder{}
		_, _ = io.WriteString(conn, "220 here\r\n")
		for {
			line, err := in.ReadString('\n')
			if err != nil {
				return
			}
			all.WriteString(line)
			switch {
			case data && line == ".\r\n":
				data = false
				out <- all.String()
				_, _ = io.WriteString(conn, "250 taken\r\n")
			case data:
			case strings.HasPrefix(line, "DATA"):
				data = true
				_, _ = io.WriteString(conn, "354 go on\r\n")
			case strings.HasPrefix(line, "QUIT"):
				_, _ = io.WriteString(conn, "221 bye\r\n")
				return
			default:
				_, _ = io.WriteString(conn, "250 yes\r\n")
			}
		}
	}()
	return l.Addr().String(), out
}

func TestMail(t *testing.T) {
	address, letter := post(t)
	s := &alerts.Sender{
		Plant: "Saltmarsh Print Works", Clock: func() time.Time { return start },
		Limits: &plant.Alerts{
			Notices: []*plant.Notice{{ID: "press", Mail: []string{"press@works.example", "night@works.example"}}},
			Mail:    plant.Mail{Server: address, From: "quoin@works.example"},
		},
	}
	require.NoError(t, s.Handle(t.Context(), gathered(t, "press")))
	got := <-letter
	for _, want := range []string{
		"MAIL FROM:<quoin@works.example>", "RCPT TO:<night@works.example>", "Message-ID: <notice-press-8@works.example>\r\n",
		"Subject: Saltmarsh Print Works: 2 alerts\r\n", "warning: offset-b2 stands  Bcc: all@works.example\r\n", "Müller & Söhne",
	} {
		require.Contains(t, got, want)
	}
	require.NotContains(t, got, "\nBcc:")
}

// A server that cannot be reached, and a password that cannot be read, are told.
func TestMailPassword(t *testing.T) {
	s := &alerts.Sender{Limits: &plant.Alerts{
		Notices: []*plant.Notice{{ID: "press", Mail: []string{"press@works.example"}}},
		Mail:    plant.Mail{Server: "127.0.0.1:1", From: "quoin@works.example", User: "quoin", Password: "env:X"},
	}, Secret: func(string) (string, error) { return "", errors.New("not set") }}
	require.Error(t, s.Handle(t.Context(), gathered(t, "press")))
	address, _ := post(t)
	s.Limits.Mail.Server = address
	require.ErrorContains(t, s.Handle(t.Context(), gathered(t, "press")), "password: not set")
}
