package month

import (
	"encoding/json"
	"fmt"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"time"

	"github.com/beevik/etree"

	"quoin/cmd/quoin/internal/rehearsal"
	"quoin/cmd/quoin/internal/rehearsal/report"
	"quoin/convert/emit"
	"quoin/convert/plan"
	"quoin/jdf/job"
)

// The folders that Write fills, and the file with the truth.
const (
	Orders   = "orders"
	Plans    = "plans"
	Returned = "returned"
	TruthIn  = "truth.json"
)

// PlanWriter writes a plan and its tickets into a folder, as quoin plan --out does.
type PlanWriter func(dir string, pl *plan.Plan, asked *job.Job, clock func() time.Time) error

// How often, of a hundred files, machines send something twice or out of order.
const (
	twice   = 4
	muddled = 10
	late    = 5
)

// Write writes a month into a folder that is new or empty: the orders, a folder
// of each plan, what the machines returned, and last the truth, so that a
// folder with a truth is whole.
func (m *Month) Write(dir string, plans PlanWriter) error {
	if old, err := os.ReadDir(dir); err == nil && len(old) > 0 {
		return fmt.Errorf("write rehearsal: folder %q is not empty; name a new one", dir)
	}
	w := &writer{month: m, dir: dir, channels: report.Channels(m.Plant)}
	m.Truth.Faults = []rehearsal.Fault{}
	for i := range m.Jobs {
		j := &m.Jobs[i]
		w.file(filepath.Join(Orders, j.Order.Job+"."+j.Form), j.File)
		if w.err == nil {
			w.err = plans(filepath.Join(dir, Plans, j.Order.Job), j.Plan, j.Asked, j.Clock)
		}
		w.tickets(j)
	}
	w.signals()
	truth, err := json.MarshalIndent(m.Truth, "", " ")
	if err != nil {
		return fmt.Errorf("write truth: %w", err)
	}
	w.file(TruthIn, append(truth, '\n'))
	return w.err
}

// writer writes files until one can not be.
type writer struct {
	month    *Month
	dir      string
	channels map[string]report.Channel
	err      error
}

func (w *writer) file(name string, data []byte) {
	if w.err != nil {
		return
	}
	path := filepath.Join(w.dir, name)
	w.err = os.MkdirAll(filepath.Dir(path), 0o755)
	if w.err == nil {
		w.err = os.WriteFile(path+".tmp", data, 0o644)
	}
	if w.err == nil {
		w.err = os.Rename(path+".tmp", path)
	}
	if w.err != nil {
		w.err = fmt.Errorf("write rehearsal: %w", w.err)
	}
}

func (w *writer) document(name string, doc *etree.Document) []byte {
	data, err := doc.WriteToBytes()
	if err != nil && w.err == nil {
		w.err = fmt.Errorf("write %q: %w", name, err)
	}
	w.file(name, data)
	return data
}

func (w *writer) fault(kind, device, job, what string) {
	w.month.Truth.Faults = append(w.month.Truth.Faults, rehearsal.Fault{Kind: kind, Device: device, Job: job, What: what})
}

// tickets writes the tickets of a job that machines return.
func (w *writer) tickets(j *Job) {
	second := map[string]*etree.Document{}
	for _, t := range emit.Tickets(j.Plan, j.Asked, emit.Options{Clock: j.Clock}) {
		second[t.Doc.Root().SelectAttrValue("JobPartID", "")] = t.Doc
	}
	var tree *etree.Document
	for _, a := range j.Acts {
		c := w.channels[a.Device]
		if !c.Tickets || w.err != nil {
			continue
		}
		doc, ext := second[a.Part], ".xjdf"
		if c.Speaks == report.First {
			if tree == nil {
				tree = emit.Tickets(j.Plan, j.Asked, emit.Options{Clock: j.Clock, As: emit.JDF})[0].Doc
			}
			if doc, w.err = report.Spawn(tree, a.Part); w.err != nil {
				return
			}
			ext = ".jdf"
		}
		if w.err = report.Audit(doc, a); w.err != nil {
			return
		}
		name := filepath.Join(Returned, "tickets", a.Job+"-"+a.Part)
		data := w.document(name+ext, doc)
		if w.dice("again", a.Job, a.Part).Chance(twice / 100.0) {
			w.file(name+"-again"+ext, data)
			w.fault("duplicate", a.Device, a.Job, name+"-again"+ext)
		}
	}
}

func (w *writer) dice(about ...string) *rehearsal.Dice {
	return rehearsal.Throw(w.month.Seed, about...)
}

// signals writes what machines sent, a file a machine and day.
func (w *writer) signals() {
	byDevice := map[string][]report.Signal{}
	for _, a := range w.month.Truth.Steps {
		if c := w.channels[a.Device]; c.Signals {
			byDevice[a.Device] = append(byDevice[a.Device], report.Signals(a, c, "sub-"+a.Device)...)
		}
	}
	for device, idle := range w.month.idle {
		for k, i := range idle {
			more := k+1 < len(idle) && idle[k+1].Start.Equal(i.End)
			shiftEnds := !more && !w.busy(device, i.End)
			byDevice[device] = append(byDevice[device], report.Idle(w.channels[device], i, shiftEnds, "sub-"+device)...)
		}
	}
	for _, device := range report.Devices(w.month.Plant) {
		all := byDevice[device]
		report.Sort(all)
		w.days(w.channels[device], all)
	}
}

// busy reports whether a machine begins a step at a moment.
func (w *writer) busy(device string, at time.Time) bool {
	return slices.ContainsFunc(w.month.Truth.Steps, func(a *rehearsal.Act) bool {
		return a.Device == device && a.Start().Equal(at)
	})
}

// days splits signals by the day of the plant, muddles some of them as lines
// that break do, and writes them.
func (w *writer) days(c report.Channel, all []report.Signal) {
	var held []report.Signal // back until the next day
	for len(all) > 0 {
		day := all[0].At.In(w.month.Plant.Zone).Format(time.DateOnly)
		n := 0
		for n < len(all) && all[n].At.In(w.month.Plant.Zone).Format(time.DateOnly) == day {
			n++
		}
		today := slices.Concat(held, all[:n])
		all, held = all[n:], nil
		d := w.dice("signals", c.Device, day)
		name := filepath.Join(Returned, "signals", day+"-"+c.Device+extension(c))
		if d.Chance(late/100.0) && len(today) > 4 && len(all) > 0 {
			cut := len(today) - len(today)/3
			today, held = today[:cut], today[cut:]
			w.fault("late", c.Device, "", fmt.Sprintf("%s: %d signals came with the next day", name, len(held)))
		}
		if d.Chance(muddled / 100.0) {
			d.Shuffle(len(today), func(i, k int) { today[i], today[k] = today[k], today[i] })
			w.fault("out of order", c.Device, "", name)
		}
		sent := today[0].At
		for _, s := range today {
			if s.At.After(sent) {
				sent = s.At
			}
		}
		w.document(name, report.Envelope(c, "e-"+c.Device+"-"+day, sent, today))
		if d.Chance(twice / 100.0) {
			from := d.Whole(0, len(today)-1)
			again := strings.TrimSuffix(name, extension(c)) + "-again" + extension(c)
			w.document(again, report.Envelope(c, "e-"+c.Device+"-"+day+"-again", sent.Add(time.Minute), today[from:]))
			w.fault("duplicate", c.Device, "", again)
		}
	}
}

func extension(c report.Channel) string {
	if c.Speaks == report.Second {
		return ".xjmf"
	}
	return ".jmf"
}
