package cost_test

import (
	"encoding/json"
	"math/rand/v2"
	"testing"
	"time"

	"github.com/shopspring/decimal"
	"github.com/stretchr/testify/require"

	"quoin/convert/cost"
	"quoin/jdf/job"
)

// anyRecord makes a record with anything in its fields.
func anyRecord(r *rand.Rand) cost.Record {
	word := func() string { return []string{"", "p1", "Bogenoffset Ä", "\x00\x01{", "日本"}[r.IntN(5)] }
	when := func() time.Time {
		if r.IntN(4) == 0 {
			return time.Time{}
		}
		t := time.Unix(r.Int64N(1<<33)-1<<31, r.Int64N(1e9)).UTC()
		if r.IntN(2) == 0 {
			return t
		}
		return t.In(time.FixedZone("", (r.IntN(1600)-800)*60))
	}
	amount := func() *decimal.Decimal {
		if r.IntN(2) == 0 {
			return nil
		}
		d := decimal.New(r.Int64()-1<<62, -int32(r.IntN(30)))
		if r.IntN(3) == 0 {
			d = d.Mul(d).Mul(d)
		}
		return &d
	}
	rec := cost.Record{
		Kind: cost.KindPhase, Signal: r.IntN(2) == 0, ID: word(), Device: word(), Job: word(), Part: word(), Keys: word(),
		CostCentre: word(), Employee: word(), Modules: word(), State: job.State(r.IntN(8)), Status: word(),
		Reason: word(), Work: word(), Seen: when(), Start: when(), End: when(), Good: amount(), Waste: amount(),
		Total: amount(), TotalWaste: amount(), Received: when(),
		Source: cost.Source{File: word(), Line: r.IntN(1e6), Column: r.IntN(200), Path: word()},
	}
	if r.IntN(2) == 0 {
		length := cost.Span(r.Int64())
		rec.Length = &length
	}
	return rec
}

// A packed record is the record, as one written and read in JSON is, and shorter.
func TestPackedRecordsAreTheSame(t *testing.T) {
	r := rand.New(rand.NewPCG(7, 1))
	var packed, plain int
	for range 3000 {
		want := anyRecord(r)
		text, err := json.Marshal(want)
		require.NoError(t, err)
		b := want.Pack()
		got, err := cost.UnpackRecord(b)
		require.NoError(t, err)
		again, err := json.Marshal(got)
		require.NoError(t, err)
		require.Equal(t, string(text), string(again))
		require.Equal(t, want.Key(), got.Key())
		old, err := cost.UnpackRecord(text)
		require.NoError(t, err)
		require.Equal(t, want.Key(), old.Key(), "what was kept as JSON can still be read")
		packed, plain = packed+len(b), plain+len(text)
		for n := range b {
			_, err := cost.UnpackRecord(b[:n])
			require.Error(t, err, "cut off after %d bytes", n)
		}
	}
	require.Less(t, 2*packed, plain)
}

func FuzzUnpackRecord(f *testing.F) {
	r := rand.New(rand.NewPCG(7, 2))
	for range 20 {
		rec := anyRecord(r)
		f.Add(rec.Pack())
	}
	f.Add([]byte("{}"))
	f.Fuzz(func(t *testing.T, b []byte) {
		got, err := cost.UnpackRecord(b)
		if err != nil || b[0] != 1 {
			return
		}
		again, err := cost.UnpackRecord(got.Pack())
		require.NoError(t, err)
		require.Equal(t, got.Key(), again.Key())
	})
}
