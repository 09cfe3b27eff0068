package ledger

import (
	"cmp"
	"context"
	"fmt"
	"iter"
	"time"

	"quoin/convert/cost"
	"quoin/convert/cost/colour"
	"quoin/jdf"
	"quoin/validate"
)

// Document is a ticket or message to be imported.
type Document struct {
	*jdf.Document
	Received time.Time // when it came in, by the clock of the receiver; zero where nobody noted it
}

// Count is how many things of a kind an import brought.
type Count struct {
	New   int `json:"new"`
	Known int `json:"known"` // in the ledger before, or twice in the import
}

func (c *Count) add(isNew bool) {
	if isNew {
		c.New++
		return
	}
	c.Known++
}

func (c *Count) plus(d Count) { c.New, c.Known = c.New+d.New, c.Known+d.Known }

// Imported is what an import came to.
type Imported struct {
	Documents int `json:"documents"`

	Records Count `json:"records"` // of time
	Uses    Count `json:"uses"`    // reports of material
	Notices Count `json:"notices"`
	Orders  Count `json:"orders"`
	Tasks   Count `json:"tasks"`

	Supplies Count `json:"supplies"` // materials of plans

	Purchases Count `json:"purchases"` // from outside, see TakePurchases

	Measurements Count `json:"measurements"` // of colour and register

	Devices int `json:"devices"` // that were settled
	Jobs    int `json:"jobs"`    // that were looked at again
	Entries int `json:"entries"` // that the ledger holds now
	Left    int `json:"left"`    // findings that are kept and not returned, beyond mostFindings
}

func (i *Imported) plus(j *Imported) {
	i.Documents += j.Documents
	i.Records.plus(j.Records)
	i.Uses.plus(j.Uses)
	i.Notices.plus(j.Notices)
	i.Orders.plus(j.Orders)
	i.Tasks.plus(j.Tasks)
	i.Supplies.plus(j.Supplies)
	i.Measurements.plus(j.Measurements)
}

// mostFindings is how many findings an import returns; Findings has all.
const mostFindings = 10000

// Import reads documents and takes what they say. What is in the ledger already
// changes nothing. The findings are those of the documents, and those of the
// devices and jobs that were settled again. The error is that of the sequence or
// of the database; what was taken before it stays, and is settled by the next
// import.
func (l *Ledger) Import(ctx context.Context, docs iter.Seq2[Document, error]) (Imported, []validate.Finding, error) {
	reading := cost.Reading{}
	if l.plant != nil {
		reading.Zone = l.plant.Zone
	}
	return l.take(ctx, func(yield func(batchItem, error) bool) {
		for doc, err := range docs {
			if err != nil {
				yield(batchItem{}, err)
				return
			}
			reading.Received = doc.Received
			said, found := reading.Read(doc.Document)
			measured, more := colour.Read(doc.Document)
			found = append(found, more...)
			if !yield(batchItem{said: said, measured: measured, found: found, document: true}, nil) {
				return
			}
		}
	})
}

// Take is Import of what was read before, such as the tasks of plans.
func (l *Ledger) Take(ctx context.Context, all iter.Seq2[*cost.Said, error]) (Imported, []validate.Finding, error) {
	return l.take(ctx, func(yield func(batchItem, error) bool) {
		for said, err := range all {
			if !yield(batchItem{said: said}, err) || err != nil {
				return
			}
		}
	})
}

// batchItem is what one document brings.
type batchItem struct {
	said     *cost.Said
	measured []colour.Measurement
	found    []validate.Finding
	document bool
	packed   []*packed // the records of said
}

func (b batchItem) size() int {
	return 1 + len(b.said.Records) + len(b.said.Uses) + len(b.said.Notices) + len(b.said.Orders) + len(b.said.Tasks) +
		len(b.said.Supplies) +
		len(b.measured) + len(b.found)
}

// batchSize is how many things are kept in one transaction: enough for its
// price to be shared, and few enough for memory.
const batchSize = 10000

func (l *Ledger) take(ctx context.Context, items iter.Seq2[batchItem, error]) (Imported, []validate.Finding, error) {
	found := &findings{}
	k := l.startKeeping(ctx)
	documents, err := k.feed(items, found)
	done, failed := k.wait()
	done.Documents = documents
	if err = cmp.Or(failed, err); err != nil {
		return done, found.list(), err
	}
	if err := l.settle(ctx, &done, found); err != nil {
		return done, found.list(), fmt.Errorf("settle ledger: %w", err)
	}
	done.Left = found.left
	return done, found.list(), nil
}

// keeping keeps batches while the next is read and made ready.
type keeping struct {
	batches chan []batchItem
	over    chan struct{} // closed when no batch is taken any more
	kept    Imported      // to be read when over is closed, as failed
	failed  error
}

func (l *Ledger) startKeeping(ctx context.Context) *keeping {
	k := &keeping{batches: make(chan []batchItem), over: make(chan struct{})}
	go func() {
		defer close(k.over)
		for batch := range k.batches {
			kept, err := l.keep(ctx, batch)
			if err != nil {
				k.failed = fmt.Errorf("import into ledger: %w", err)
				return
			}
			k.kept.plus(kept)
		}
	}()
	return k
}

// feed gives batches of the items to be kept, until keeping has failed. The error is
// that of the items.
func (k *keeping) feed(items iter.Seq2[batchItem, error], found *findings) (documents int, err error) {
	var batch []batchItem
	size := 0
	for item, err := range items {
		if err == nil {
			err = item.pack()
		}
		if err != nil {
			return documents, err
		}
		if item.document {
			documents++
		}
		found.add(item.found...)
		if batch, size = append(batch, item), size+item.size(); size < batchSize {
			continue
		}
		if !k.send(batch) {
			return documents, nil
		}
		batch, size = nil, 0
	}
	if len(batch) > 0 {
		k.send(batch)
	}
	return documents, nil
}

// send is false where keeping has failed.
func (k *keeping) send(batch []batchItem) bool {
	select {
	case k.batches <- batch:
		return true
	case <-k.over:
		return false
	}
}

// wait waits until all batches are kept.
func (k *keeping) wait() (Imported, error) {
	close(k.batches)
	<-k.over
	return k.kept, k.failed
}

// pack makes the records ready to be kept.
func (b *batchItem) pack() error {
	b.packed = make([]*packed, 0, len(b.said.Records))
	for i := range b.said.Records {
		p, err := newPacked(&b.said.Records[i])
		if err != nil {
			return err
		}
		b.packed = append(b.packed, p)
	}
	return nil
}

// mostTexts is how many findings hold on to the text they were found in, so
// that its line can be shown: each may be the last to keep a whole document.
const mostTexts = 200

// findings keeps so many of them and counts the rest.
type findings struct {
	report validate.Report
	left   int
}

func (f *findings) add(all ...validate.Finding) {
	for _, one := range all {
		if len(f.report.Findings) == mostFindings {
			f.left++
			continue
		}
		if len(f.report.Findings) >= mostTexts {
			one = forget(one)
		}
		f.report.Add(one)
	}
}

func (f *findings) list() []validate.Finding {
	f.report.Finish()
	return f.report.Findings
}
