package message_test

import (
	"os"
	"strings"
	"testing"

	"quoin/jdf"
	"quoin/jdf/job"
	"quoin/jdf/message"
	"quoin/testdata/standard"
)

// FuzzDecode holds that no document makes the decoder panic, and that what it
// gives is whole: every message has a family and an element, every audit just
// the content that its kind says.
func FuzzDecode(f *testing.F) {
	if _, ok := standard.Find(); ok {
		for _, path := range standard.Samples(f) {
			if !strings.HasSuffix(path, "jmf") {
				continue
			}
			text, err := os.ReadFile(path)
			if err != nil {
				f.Fatal(err)
			}
			f.Add(string(text))
		}
	}
	f.Add(`<XJMF xmlns="http://www.CIP4.org/JDFSchema_2_0"><SignalStatus><DeviceInfo><JobPhase Amount="1e9" Waste="-1"/>` +
		`</DeviceInfo></SignalStatus><Signal/><SignalX/></XJMF>`)
	f.Add(`<JMF xmlns="http://www.CIP4.org/JDFSchema_1_1"><Signal Type="Resource"><ResourceInfo ActualAmount="NaN">` +
		`<AmountPool><PartAmount/></AmountPool></ResourceInfo></Signal></JMF>`)
	f.Fuzz(func(t *testing.T, text string) {
		doc, _, err := jdf.Read("fuzz", strings.NewReader(text), jdf.Limits{MaxBytes: 1 << 16})
		if err != nil {
			t.Fatal(err)
		}
		for _, m := range message.Decode(doc).Messages {
			if m.Family == "" || !m.Node.Valid() {
				t.Fatalf("message without family or element: %+v", m)
			}
			for _, a := range append(m.Audits, m.Notifications...) {
				whole := map[job.AuditKind]bool{
					job.AuditPhase: a.Phase != nil, job.AuditResource: a.Consumption != nil, job.AuditNotice: a.Notice != nil,
				}
				if !whole[a.Kind] {
					t.Fatalf("audit of kind %d without its content", a.Kind)
				}
			}
		}
		job.Audits(doc)
	})
}
