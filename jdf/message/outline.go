package message

import (
	"fmt"
	"io"
	"strings"

	"quoin/jdf/job"
)

// Outline writes what the messages of a document say, a line each, with what
// they report of devices and jobs below, in the words of job.Job.Outline. The
// error is that of the writer.
func (e *Envelope) Outline(w io.Writer) error {
	var out strings.Builder
	fmt.Fprintf(&out, "from: %s\n", strings.Join(said(e.Header), ", "))
	for _, m := range e.Messages {
		facts := said(m.Header)
		if m.Family == Response || m.Family == Acknowledge {
			facts = append(facts, fmt.Sprintf("return code %d", m.Returned()))
		}
		if m.Subscription != nil {
			facts = append(facts, "asks to be told again")
		}
		for _, q := range m.QueueEntries {
			facts = append(facts, fmt.Sprintf("queue entry %q", q.ID.Value))
		}
		fmt.Fprintf(&out, "%s %s: %s\n", m.Family, m.Type, strings.Join(facts, ", "))
		if err := (&job.Job{Audits: append(m.Audits[:len(m.Audits):len(m.Audits)], m.Notifications...)}).Outline(&indented{&out}); err != nil {
			return err
		}
	}
	if _, err := io.WriteString(w, out.String()); err != nil {
		return fmt.Errorf("write outline: %w", err)
	}
	return nil
}

// said lists what a header gives.
func said(h Header) []string {
	var facts []string
	for _, f := range []struct {
		name string
		job.Fact[string]
	}{{"sender", h.Sender}, {"id", h.ID}, {"answers", h.RefID}, {"agent", h.Agent}} {
		if f.Given {
			facts = append(facts, fmt.Sprintf("%s %q", f.name, f.Value))
		}
	}
	if h.Time.Given {
		facts = append(facts, "at "+h.Time.Value.String())
	}
	return facts
}

// indented moves whole lines to the right.
type indented struct{ out *strings.Builder }

func (i *indented) Write(p []byte) (int, error) {
	for line := range strings.Lines(string(p)) {
		i.out.WriteString("  " + line)
	}
	return len(p), nil
}
