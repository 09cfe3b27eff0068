package cost

import (
	"encoding/binary"
	"encoding/json"
	"errors"
	"math/big"
	"time"

	"github.com/shopspring/decimal"

	"quoin/jdf/job"
)

// packedRecord begins a Record that Pack wrote. JSON, as which records were kept
// before, never begins so.
const packedRecord = 1

// The flags of a packed record, in this order: which of what may be left out is there.
const (
	packSignal = 1 << iota
	packStart
	packEnd
	packLength
	packGood
	packWaste
	packTotal
	packTotalWaste
	packReceived
)

// Pack writes the record in a quarter of the space of its JSON. The place in a document
// at hand is left out, as in JSON.
func (r *Record) Pack() []byte {
	flags := uint64(0)
	for n, given := range [...]bool{
		r.Signal, !r.Start.IsZero(), !r.End.IsZero(), r.Length != nil, r.Good != nil, r.Waste != nil, r.Total != nil,
		r.TotalWaste != nil, !r.Received.IsZero(),
	} {
		if given {
			flags |= 1 << n
		}
	}
	p := packer{make([]byte, 0, 192)}
	p.buf = append(p.buf, packedRecord)
	p.buf = binary.AppendUvarint(p.buf, flags)
	for _, s := range r.texts() {
		p.buf = binary.AppendUvarint(p.buf, uint64(len(*s)))
		p.buf = append(p.buf, *s...)
	}
	for _, n := range []int64{int64(r.State), int64(r.Source.Line), int64(r.Source.Column)} {
		p.buf = binary.AppendVarint(p.buf, n)
	}
	p.time(r.Seen)
	for _, t := range []time.Time{r.Start, r.End, r.Received} {
		if !t.IsZero() {
			p.time(t)
		}
	}
	if r.Length != nil {
		p.buf = binary.AppendVarint(p.buf, int64(*r.Length))
	}
	for _, d := range []*decimal.Decimal{r.Good, r.Waste, r.Total, r.TotalWaste} {
		if d != nil {
			p.amount(*d)
		}
	}
	return p.buf
}

// texts are the fields of text, in the order in which they are packed.
func (r *Record) texts() []*string {
	return []*string{
		(*string)(&r.Kind), &r.ID, &r.Device, &r.Job, &r.Part, &r.Keys, &r.CostCentre, &r.Employee, &r.Modules,
		&r.Status, &r.Reason, &r.Work, &r.Source.File, &r.Source.Path,
	}
}

type packer struct{ buf []byte }

// time writes an instant with the offset of its zone in seconds.
func (p *packer) time(t time.Time) {
	_, offset := t.Zone()
	p.buf = binary.AppendVarint(p.buf, t.Unix())
	p.buf = binary.AppendUvarint(p.buf, uint64(t.Nanosecond()))
	p.buf = binary.AppendVarint(p.buf, int64(offset))
}

func (p *packer) amount(d decimal.Decimal) {
	bytes := d.Coefficient().Bytes()
	p.buf = binary.AppendVarint(p.buf, int64(d.Exponent()))
	n := int64(len(bytes))
	if d.IsNegative() {
		n = -n
	}
	p.buf = binary.AppendVarint(p.buf, n)
	p.buf = append(p.buf, bytes...)
}

// mostExponent bounds the exponent of an amount: far beyond any that can be reported,
// and small enough to be written out.
const mostExponent = 100000

var errPacked = errors.New("its packed form is cut short")

// UnpackRecord reads what Pack wrote, or a record in JSON.
func UnpackRecord(b []byte) (Record, error) {
	var r Record
	if len(b) == 0 || b[0] != packedRecord {
		err := json.Unmarshal(b, &r)
		return r, err
	}
	u := unpacker{buf: b[1:]}
	flags := u.uint()
	has := func(flag uint64) bool { return flags&flag != 0 }
	for _, s := range r.texts() {
		*s = string(u.bytes(u.uint()))
	}
	r.Signal, r.State = has(packSignal), job.State(u.int())
	r.Source.Line, r.Source.Column = int(u.int()), int(u.int())
	r.Seen = u.time()
	for _, at := range []struct {
		flag uint64
		to   *time.Time
	}{{packStart, &r.Start}, {packEnd, &r.End}, {packReceived, &r.Received}} {
		if has(at.flag) {
			*at.to = u.time()
		}
	}
	if has(packLength) {
		length := Span(u.int())
		r.Length = &length
	}
	for _, at := range []struct {
		flag uint64
		to   **decimal.Decimal
	}{{packGood, &r.Good}, {packWaste, &r.Waste}, {packTotal, &r.Total}, {packTotalWaste, &r.TotalWaste}} {
		if has(at.flag) {
			amount := u.amount()
			*at.to = &amount
		}
	}
	if u.bad || len(u.buf) > 0 || r.State < job.StateUnknown || r.State > job.StateOff {
		return Record{}, errPacked
	}
	return r, nil
}

// unpacker reads values, which are zero from the first that is not whole.
type unpacker struct {
	buf []byte
	bad bool
}

func (u *unpacker) uint() uint64 {
	v, n := binary.Uvarint(u.buf)
	return took(u, v, n)
}

func (u *unpacker) int() int64 {
	v, n := binary.Varint(u.buf)
	return took(u, v, n)
}

func took[T int64 | uint64](u *unpacker, v T, n int) T {
	if n <= 0 {
		u.buf, u.bad = nil, true
		return 0
	}
	u.buf = u.buf[n:]
	return v
}

func (u *unpacker) bytes(n uint64) []byte {
	if n > uint64(len(u.buf)) {
		u.buf, u.bad = nil, true
		return nil
	}
	b := u.buf[:n]
	u.buf = u.buf[n:]
	return b
}

func (u *unpacker) time() time.Time {
	seconds, nano, offset := u.int(), u.uint(), u.int()
	if u.bad || nano >= 1e9 || offset < -100*3600 || offset > 100*3600 {
		u.bad = true
		return time.Time{}
	}
	t := time.Unix(seconds, int64(nano)).UTC()
	if offset == 0 {
		return t
	}
	return t.In(time.FixedZone("", int(offset)))
}

func (u *unpacker) amount() decimal.Decimal {
	exp, n := u.int(), u.int()
	length := n
	if n < 0 {
		length = -n
	}
	if exp < -mostExponent || exp > mostExponent || length < 0 {
		u.bad = true
		return decimal.Decimal{}
	}
	coefficient := new(big.Int).SetBytes(u.bytes(uint64(length)))
	if n < 0 {
		coefficient.Neg(coefficient)
	}
	return decimal.NewFromBigInt(coefficient, int32(exp))
}
