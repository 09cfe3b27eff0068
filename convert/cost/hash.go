package cost

import (
	"crypto/sha256"
	"encoding/binary"
	"encoding/hex"
	"time"

	"github.com/shopspring/decimal"
)

// hash gathers the content of a record, each value with its length or a mark,
// so that no two contents write the same bytes.
type hash struct{ buf []byte }

func newHash(kind string) *hash {
	h := &hash{buf: make([]byte, 0, 256)}
	h.text(kind)
	return h
}

func (h *hash) text(values ...string) {
	for _, s := range values {
		h.buf = binary.AppendUvarint(h.buf, uint64(len(s)))
		h.buf = append(h.buf, s...)
	}
}

func (h *hash) flag(b bool) {
	if b {
		h.buf = append(h.buf, 1)
		return
	}
	h.buf = append(h.buf, 0)
}

// time writes instants: the zone in which one is written is no content.
func (h *hash) time(values ...time.Time) {
	for _, t := range values {
		h.buf = binary.BigEndian.AppendUint64(h.buf, uint64(t.Unix()))
		h.buf = binary.BigEndian.AppendUint32(h.buf, uint32(t.Nanosecond()))
	}
}

func (h *hash) span(s *Span) {
	h.flag(s != nil)
	if s != nil {
		h.buf = binary.BigEndian.AppendUint64(h.buf, uint64(*s))
	}
}

func (h *hash) amount(values ...*decimal.Decimal) {
	for _, d := range values {
		h.flag(d != nil)
		if d != nil {
			h.text(d.String())
		}
	}
}

// sum is the first half of the SHA-256, for no two of the records that a plant
// makes in its life share one by chance.
func (h *hash) sum() string {
	all := sha256.Sum256(h.buf)
	return hex.EncodeToString(all[:16])
}
