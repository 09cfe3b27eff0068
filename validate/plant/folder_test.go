package plant

import (
	"os"
	"path/filepath"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"
)

// split writes the small plant as several files, parted before lines that begin with a key.
func split(t *testing.T, keys ...string) string {
	t.Helper()
	dir, rest := t.TempDir(), small(t)
	for i, k := range append(keys, "") {
		part := rest
		if k != "" {
			var ok bool
			part, rest, ok = strings.Cut(rest, "\n"+k)
			require.True(t, ok)
			rest = k + rest
		}
		name := filepath.Join(dir, string(rune('a'+i))+".yaml")
		require.NoError(t, os.WriteFile(name, []byte(part+"\n"), 0o644))
	}
	return dir
}

func write(t *testing.T, dir, name, text string) {
	t.Helper()
	require.NoError(t, os.WriteFile(filepath.Join(dir, name), []byte(text), 0o644))
}

// A folder is read as the one file would be.
func TestFolderIsOnePlant(t *testing.T) {
	dir := split(t, "presses:", "guillotines:", "stocks:")
	write(t, dir, "notes.txt", "not of the plant")
	write(t, dir, ".hidden.yaml", "not: of the plant")
	require.NoError(t, os.Mkdir(filepath.Join(dir, "old.yaml"), 0o755))
	p, findings, err := LoadFile(dir)
	require.NoError(t, err)
	require.Empty(t, lines(findings))
	require.Len(t, p.Sources, 4)
	require.Same(t, p.Sources[0], p.Source)

	one, findings := Load("small.yaml", []byte(small(t)))
	require.Empty(t, lines(findings))
	var got, want strings.Builder
	require.NoError(t, Show(&got, p))
	require.NoError(t, Show(&want, one))
	require.Equal(t, want.String(), got.String())

	at := p.Stocks[0].At("grammage")
	require.Equal(t, filepath.Join(dir, "d.yaml"), at.File())
	require.Equal(t, "135 g/m2", at.Source.Text[at.Start:at.End])
	require.Equal(t, 4, at.Pos().Line)
}

// Lists are joined in the order of the files; what is wrong is said at its own file and line.
func TestFolderJoinsLists(t *testing.T) {
	dir := split(t, "stocks:")
	write(t, dir, "c.yaml", "stocks:\n  - id: gloss-135\n    size: 640 x 900 mm\n    grammage: 90 g/m2\n"+
		"    caliper: 68 um\n"+
		"    coating: gloss\n    grain: long\n    price: 72.50 per 1000 sheets\n")
	p, findings, err := LoadFile(dir)
	require.NoError(t, err)
	require.Len(t, p.Stocks, 2)
	require.Len(t, findings, 1)
	require.Equal(t, "plant/duplicate-id", findings[0].Rule.ID)
	require.Equal(t, `stocks[2] "gloss-135" / id: "gloss-135" is the id of another stock already`, findings[0].Message())
	require.Equal(t, filepath.Join(dir, "c.yaml"), findings[0].Place.File())
	require.Equal(t, 2, findings[0].Place.Pos().Line)
	require.Equal(t, filepath.Join(dir, "b.yaml"), findings[0].Related[0].Place.File())
}

func TestFolderMistakes(t *testing.T) {
	for _, c := range []struct{ name, text, want, file string }{
		{"key twice", "bleed: 4 mm\n", "plant/duplicate-key 1:1 bleed: the key is given twice", "z.yaml"},
		{"list and no list", "stocks: none\n", "plant/duplicate-key 1:1 stocks: the key is given twice", "z.yaml"},
		{"list twice in one file", "inks: []\ninks: []\n", "plant/duplicate-key 2:1 inks: the key is given twice", "z.yaml"},
		{"list of two files, twice in one", "stocks: []\nstocks: []\n",
			"plant/duplicate-key 2:1 stocks: the key is given twice",
			"z.yaml"},
		{"no keys", "- a\n", "plant/wrong-type 1:1 the plant file is a list", "z.yaml"},
		{"not YAML", "inks: [\n", "plant/file-syntax", "z.yaml"},
		{"empty", "", "plant/file-form 1:1 the plant file can not be read: it is empty", "z.yaml"},
		{"alias over files", "inks: *folds\n", "plant/file-syntax", "z.yaml"},
	} {
		dir := split(t, "stocks:")
		write(t, dir, "z.yaml", c.text)
		p, findings, err := LoadFile(dir)
		require.NoError(t, err, c.name)
		require.NotNil(t, p, c.name)
		require.Len(t, findings, 1, c.name)
		require.Contains(t, lines(findings), c.want, c.name)
		require.Equal(t, filepath.Join(dir, c.file), findings[0].Place.File(), c.name)
	}
}

func TestFolderUnreadable(t *testing.T) {
	empty := t.TempDir()
	_, _, err := LoadFile(empty)
	require.ErrorContains(t, err, "it has no file *.yaml")
	dir := t.TempDir()
	half := strings.Repeat("#\n", MaxFile/4+1)
	write(t, dir, "a.yaml", half)
	write(t, dir, "b.yaml", half)
	_, _, err = LoadFile(dir)
	require.ErrorContains(t, err, "b.yaml")
	require.ErrorContains(t, err, "over 4 MB")
}

// The parser puts a value that is missing at the end of a file on a line behind
// it; that is no line of the next file.
func TestFolderMissingAtEnd(t *testing.T) {
	_, findings := LoadFiles([]File{{"first.yaml", []byte("---")}, {"second.yaml", []byte("name: Saltmarsh Print Works")}})
	require.NotEmpty(t, findings)
	require.Equal(t, "first.yaml", findings[0].Place.File())
}
