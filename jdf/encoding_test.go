package jdf_test

import (
	"testing"
	"unicode/utf16"

	"github.com/stretchr/testify/require"
	"golang.org/x/text/encoding/charmap"
)

const sampleText = "<a b='Käse €'>日本 𝄞\r\n<c/></a>"

func utf16Bytes(text string, big, mark bool) string {
	units := utf16.Encode([]rune(text))
	if mark {
		units = append([]uint16{0xFEFF}, units...)
	}
	var out []byte
	for _, u := range units {
		if big {
			out = append(out, byte(u>>8), byte(u))
		} else {
			out = append(out, byte(u), byte(u>>8))
		}
	}
	return string(out)
}

func singleBytes(t *testing.T, table *charmap.Charmap, text string) string {
	t.Helper()
	out, err := table.NewEncoder().String(text)
	require.NoError(t, err)
	return out
}

func TestEncodings(t *testing.T) {
	latin := "<?xml version='1.0' encoding='ISO-8859-1'?><a b='Käse'>Größe<c/></a>"
	latin9 := "<?xml version='1.0' encoding='iso-8859-15'?><a b='5 €'><c/></a>"
	windows := "<?xml version=\"1.0\" encoding=\"Windows-1252\"?><a b='„Käse“ 5 €'><c/></a>"
	utf16Declared := "<?xml version='1.0' encoding='UTF-16'?>" + sampleText
	for _, c := range []struct{ name, bytes, encoding, text string }{
		{"UTF-8", sampleText, "UTF-8", sampleText},
		{"UTF-8 with mark", "\xEF\xBB\xBF" + sampleText, "UTF-8", sampleText},
		{"UTF-8 declared", "<?xml version='1.0' encoding='utf-8'?><a/>", "UTF-8",
			"<?xml version='1.0' encoding='utf-8'?><a/>"},
		{"UTF-8 with mark and declared", "\xEF\xBB\xBF<?xml version='1.0' encoding='UTF-8'?><a/>", "UTF-8",
			"<?xml version='1.0' encoding='UTF-8'?><a/>"},
		{"UTF-16LE with mark", utf16Bytes(sampleText, false, true), "UTF-16LE", sampleText},
		{"UTF-16BE with mark", utf16Bytes(sampleText, true, true), "UTF-16BE", sampleText},
		{"UTF-16LE", utf16Bytes(utf16Declared, false, false), "UTF-16LE", utf16Declared},
		{"UTF-16BE", utf16Bytes(utf16Declared, true, false), "UTF-16BE", utf16Declared},
		{"ISO-8859-1", singleBytes(t, charmap.ISO8859_1, latin), "ISO-8859-1", latin},
		{"ISO-8859-15", singleBytes(t, charmap.ISO8859_15, latin9), "ISO-8859-15", latin9},
		{"windows-1252", singleBytes(t, charmap.Windows1252, windows), "windows-1252", windows},
		{"US-ASCII", "<?xml version='1.0' encoding='US-ASCII'?><a/>", "US-ASCII",
			"<?xml version='1.0' encoding='US-ASCII'?><a/>"},
	} {
		t.Run(c.name, func(t *testing.T) {
			doc := clean(t, c.bytes)
			require.Equal(t, c.encoding, doc.Encoding)
			require.Equal(t, c.text, doc.Source.Text)
			require.Equal(t, "a", doc.Root().Local())
		})
	}
}

type encodingCase struct {
	name, bytes string
	want        []string // as show writes them
	got, says   string   // Got and Want of the first fault
	read        bool     // the root is read all the same
}

const half = "<a>x\U0001D11E</a>" // a note that takes two units

// Source: W3C Extensible Markup Language (XML) 1.0, Fifth Edition, 4.3.3: what
// an encoding declaration may say. The places are our own choice.
var encodingCases = []encodingCase{
	{"UTF-8 that is not", "<a>\n M\xFCller</a>", []string{"encoding 2:3-2:4"}, "byte 0xFC", "UTF-8", true},
	{"UTF-8 cut off", "<a>\xE6\x97</a>", []string{"encoding 1:4-1:5"}, "byte 0xE6", "UTF-8", true},
	{"UTF-8 overlong", "<a>\xC0\xAF</a>", []string{"encoding 1:4-1:5"}, "byte 0xC0", "UTF-8", true},
	{"UTF-8 with surrogate", "<a>\xED\xA0\x80</a>", []string{"encoding 1:4-1:5"}, "byte 0xED", "UTF-8", true},
	{"UTF-8 in a name", "<M\xFCller/>", []string{"encoding 1:3-1:4"}, "byte 0xFC", "UTF-8", true},
	{"ASCII that is not", "<?xml version='1.0' encoding='US-ASCII'?><a>ä</a>",
		[]string{"encoding 1:45-1:46"}, "byte 0xC3", "US-ASCII", true},
	{"mark against declaration", "\xEF\xBB\xBF<?xml version='1.0' encoding='ISO-8859-1'?><a/>",
		[]string{"encoding 1:31-1:41"}, "a UTF-8 byte order mark", "ISO-8859-1", true},
	{"declared UTF-16", "<?xml version='1.0' encoding='UTF-16'?><a/>",
		[]string{"encoding 1:31-1:37"}, "one byte a character", "UTF-16", true},
	{"UTF-16 declared UTF-8", utf16Bytes("<?xml version='1.0' encoding='UTF-8'?><a/>", false, true),
		[]string{"encoding 1:31-1:36"}, "UTF-16LE bytes", "UTF-8", true},
	{"UTF-16 of the other order", utf16Bytes("<?xml version='1.0' encoding='UTF-16BE'?><a/>", false, true),
		[]string{"encoding 1:31-1:39"}, "UTF-16LE bytes", "UTF-16BE", true},
	{"half a pair", utf16Bytes("<a>x", true, true) + "\xD8\x34" + utf16Bytes("</a>", true, false),
		[]string{"encoding 1:5-1:6"}, "half a character", "UTF-16BE", true},
	{"second half alone", utf16Bytes("<a>x", false, true) + "\x1E\xDD" + utf16Bytes("</a>", false, false),
		[]string{"encoding 1:5-1:6"}, "half a character", "UTF-16LE", true},
	{"cut inside a pair", utf16Bytes(half, true, true)[:12], []string{"encoding 1:5-1:6", "truncated 1:6-1:6 related 1:2"},
		"half a character", "UTF-16BE", true},
	{"cut inside a unit", utf16Bytes("<a/>", true, true) + "\x00", []string{"encoding 1:5-1:5"},
		"half a character", "UTF-16BE", true},
	{"free byte", "<?xml version='1.0' encoding='windows-1252'?>\n<a>\x80\x81</a>",
		[]string{"encoding 2:5-2:6"}, "byte 0x81", "windows-1252", true},
	{"unknown", "<?xml version='1.0' encoding='Shift_JIS'?><a>\x93\xFA</a>",
		[]string{"encoding-unknown 1:31-1:40"}, "Shift_JIS", readable, false},
	{"UTF-32", "\x00\x00\xFE\xFF\x00\x00\x00<", []string{"encoding-unknown 1:1-1:1"}, "UTF-32", readable, false},
	{"UTF-32 without mark", "<\x00\x00\x00a\x00\x00\x00", []string{"encoding-unknown 1:1-1:1"}, "UTF-32", readable, false},
	{"EBCDIC", "\x4C\x6F\xA7\x94\x93", []string{"encoding-unknown 1:1-1:1"}, "EBCDIC", readable, false},
}

const readable = "UTF-8, UTF-16, ISO-8859-1, ISO-8859-15, windows-1252 or US-ASCII"

func TestEncodingFaults(t *testing.T) {
	for _, c := range encodingCases {
		t.Run(c.name, func(t *testing.T) {
			doc, faults := read(t, c.bytes)
			require.Equal(t, c.want, show(faults))
			require.Equal(t, c.got, faults[0].Got)
			require.Equal(t, c.says, faults[0].Want)
			require.Equal(t, c.read, doc.Root().Valid())
			walk(doc)
		})
	}
}
