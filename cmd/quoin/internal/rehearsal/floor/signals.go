package floor

import (
	"fmt"
	"strconv"
	"time"

	"github.com/beevik/etree"

	"quoin/cmd/quoin/internal/compose"
	"quoin/cmd/quoin/internal/rehearsal/report"
	"quoin/jdf"
)

// post puts signals into the outbox. The lock is held.
func (d *device) post(how report.Channel, to, job string, due []report.Signal) {
	d.letters++
	id := fmt.Sprintf("e-%s-%d", d.channel.Device, d.letters)
	doc := report.Envelope(how, id, d.floor.Clock.Now().Truncate(time.Second), due)
	body, err := doc.WriteToBytes()
	if err != nil {
		d.floor.Log.Error("signal can not be written", "device", d.channel.Device, "error", err)
		return
	}
	kind := jdf.KindXJMF
	if how.Speaks == report.First {
		kind = jdf.KindJMF
	}
	l := &letter{id: due[0].ID + "@" + id, job: job, url: to, media: compose.MediaType(kind), body: body}
	if miscount(doc.Root()) {
		if l.wrong, err = doc.WriteToBytes(); err != nil {
			l.wrong = nil
		}
	}
	d.out.add(l)
}

// miscount makes the counters of all phases wrong. It reports whether there
// were any.
func miscount(e *etree.Element) bool {
	found := false
	for _, phase := range e.FindElements(".//JobPhase") {
		for i, a := range phase.Attr {
			switch a.Key {
			case "Amount", "PhaseAmount", "Waste", "PhaseWaste":
				n, err := strconv.Atoi(a.Value)
				if err != nil {
					continue
				}
				phase.Attr[i].Value = strconv.Itoa(3*n + 17)
				found = true
			}
		}
	}
	return found
}
