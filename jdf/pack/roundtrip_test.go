package pack

import (
	"bytes"
	"fmt"
	"io"
	"math/rand/v2"
	"testing"

	"github.com/stretchr/testify/require"
)

// randomParts makes parts with any bytes and awkward names.
func randomParts(r *rand.Rand) []*Part {
	names := []string{"a.pdf", "art/ä b.pdf", "x'y\"z.tif", "日本.xjdf", "100%.txt", "job;1.jdf"}
	encodings := []string{"", base64Encoding, quotedPrintable, binary}
	var parts []*Part
	for i := range 1 + r.IntN(len(names)) {
		data := make([]byte, r.IntN(3000))
		for j := range data {
			data[j] = "\r\n\n =-b\t."[r.IntN(9)]
			if r.IntN(2) == 0 {
				data[j] = byte(r.Uint32())
			}
		}
		// A first byte that starts no package, so that none is nested.
		part := NewPart(names[i], fmt.Sprintf("p%d@x", i), "application/pdf", append([]byte("%"), data...))
		part.Encoding = encodings[r.IntN(len(encodings))]
		parts = append(parts, part)
	}
	return parts
}

func TestReadGivesWhatWasWritten(t *testing.T) {
	for seed := range uint64(25) {
		parts := randomParts(rand.New(rand.NewPCG(seed, 1)))
		for format, write := range map[Format]func(io.Writer, []*Part) error{ZIP: WriteZIP, MIME: WriteMIME} {
			var once, twice bytes.Buffer
			require.NoError(t, write(&once, parts))
			require.NoError(t, write(&twice, parts))
			require.Equal(t, once.Bytes(), twice.Bytes(), "the same parts give the same bytes")
			p, problems := open(t, once.Bytes(), Limits{})
			require.Empty(t, problems)
			require.Equal(t, format, p.Format)
			require.Len(t, p.Parts, len(parts))
			for i, part := range p.Parts {
				require.Equal(t, parts[i].Name, part.Name)
				require.Equal(t, parts[i].Size, part.Size)
				require.Equal(t, read(t, parts[i]), read(t, part))
				if format == MIME {
					require.Equal(t, parts[i].ID, part.ID)
					require.Equal(t, parts[i].Type, part.Type)
				}
			}
		}
	}
}

func TestBlankPartsAreStored(t *testing.T) {
	var out bytes.Buffer
	require.NoError(t, WriteZIP(&out, []*Part{NewPart("plate.tif", "", "", make([]byte, 4<<20))}))
	_, problems := open(t, out.Bytes(), Limits{})
	require.Empty(t, problems)
}
