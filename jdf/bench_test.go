package jdf_test

import (
	"encoding/xml"
	"errors"
	"fmt"
	"io"
	"runtime"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"

	"quoin/jdf"
)

// bigTicket writes a ticket of about the size in bytes, shaped as large
// tickets are: a resource pool of media and components partitioned by sheet,
// signature and separation, with about eight attributes an element.
func bigTicket(size int) string {
	var out strings.Builder
	out.Grow(size + 4096)
	out.WriteString(`<?xml version="1.0" encoding="UTF-8"?>` + "\n" +
		`<JDF xmlns="http://www.CIP4.org/JDFSchema_1_1" ID="N1" JobID="J-4711" JobPartID="P1"` +
		` Status="Waiting" Type="Product" Version="1.5">` + "\n  <ResourcePool>\n")
	separations := []string{"Cyan", "Magenta", "Yellow", "Black", "Goldgelb dunkel", "Glanzlack"}
	for sheet := 1; out.Len() < size; sheet++ {
		fmt.Fprintf(&out, "    <Component ID=\"Comp%d\" Class=\"Quantity\" ComponentType=\"Sheet\" Status=\"Available\""+
			" Amount=\"%d\" Dimensions=\"2040.94 1474.02 0\" PartIDKeys=\"SheetName Side Separation\""+
			" DescriptiveName=\"Bogen %d für Müller &amp; Söhne\">\n", sheet, 1000+sheet, sheet)
		for _, side := range []string{"Front", "Back"} {
			fmt.Fprintf(&out, "      <Component SheetName=\"Sheet%d\" Side=\"%s\" Status=\"Available\">\n", sheet, side)
			for i, s := range separations {
				fmt.Fprintf(&out, "        <Component Separation=\"%s\" Amount=\"%d\" AmountProduced=\"%d\" AmountRequired=\"%d\""+
					" ProductID=\"Prod-%d-%d\" Status=\"Available\" IsWaste=\"false\" PartUsage=\"Explicit\"/>\n",
					s, sheet*7, sheet*5, sheet*6, sheet, i)
			}
			out.WriteString("      </Component>\n")
		}
		out.WriteString("      <Comment Name=\"Description\">Bitte mit Schutzlack drucken</Comment>\n    </Component>\n")
	}
	out.WriteString("  </ResourcePool>\n</JDF>\n")
	return out.String()
}

const bigSize = 15 << 20

// BenchmarkRead sets the reader beside encoding/xml, which only cuts the same
// text into tokens.
func BenchmarkRead(b *testing.B) {
	text := bigTicket(bigSize)
	b.Run("jdf", func(b *testing.B) {
		b.SetBytes(int64(len(text)))
		b.ReportAllocs()
		for b.Loop() {
			_, faults, err := jdf.Read("big.jdf", strings.NewReader(text), jdf.Limits{})
			require.NoError(b, err)
			require.Empty(b, faults)
		}
	})
	b.Run("encoding-xml", func(b *testing.B) {
		b.SetBytes(int64(len(text)))
		b.ReportAllocs()
		for b.Loop() {
			d := xml.NewDecoder(strings.NewReader(text))
			for {
				if _, err := d.RawToken(); errors.Is(err, io.EOF) {
					break
				} else if err != nil {
					b.Fatal(err)
				}
			}
		}
	})
}

// Common practice, no source: a reader that keeps the whole ticket should cost
// no more than a few times its size.
func TestReadMemory(t *testing.T) {
	text := bigTicket(bigSize)
	var before, after runtime.MemStats
	runtime.GC()
	runtime.ReadMemStats(&before)
	doc, faults, err := jdf.Read("big.jdf", strings.NewReader(text), jdf.Limits{})
	runtime.ReadMemStats(&after)
	require.NoError(t, err)
	require.Empty(t, faults)
	allocated := after.TotalAlloc - before.TotalAlloc
	t.Logf("%.2f times the file, %d nodes", float64(allocated)/float64(len(text)), doc.Len())
	require.Less(t, allocated, uint64(4*len(text)), "all that was allocated, freed again or not")
}

// BenchmarkReadSmall reads a ticket of the usual size.
func BenchmarkReadSmall(b *testing.B) {
	text := bigTicket(4 << 10)
	b.SetBytes(int64(len(text)))
	b.ReportAllocs()
	for b.Loop() {
		_, faults, err := jdf.Read("small.jdf", strings.NewReader(text), jdf.Limits{})
		require.NoError(b, err)
		require.Empty(b, faults)
	}
}
