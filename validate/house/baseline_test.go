package house_test

import (
	"os"
	"path/filepath"
	"runtime"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"

	"quoin/jdf"
	"quoin/validate"
	"quoin/validate/house"
)

const old = `<a><b ID="x"/><b ID="y"/></a>`

// moved is the same ticket laid out anew.
const moved = "<a>\n\n  <b   ID=\"x\"/>\n  <b\n ID=\"y\"/>\n</a>"

// grown has a third b, and so another finding of each rule, and none of the
// places before is at another path.
const grown = "<a>\n<b ID=\"x\"/><b ID=\"y\"/><b ID=\"z\"/></a>"

func TestBaselineKnowsWhatMoved(t *testing.T) {
	dir := t.TempDir()
	path := filepath.Join(dir, "sub", "baseline.json")
	require.NoError(t, os.Mkdir(filepath.Dir(path), 0o755))
	name := filepath.Join(dir, "a.jdf")
	first := everywhere(read(t, name, old))
	require.NoError(t, house.WriteBaseline(path, first))
	text, err := os.ReadFile(path)
	require.NoError(t, err)
	require.Contains(t, string(text), `"file": "../a.jdf"`)
	require.NotContains(t, string(text), dir)
	b, err := house.ReadBaseline(path)
	require.NoError(t, err)

	fresh, known := b.Split(everywhere(read(t, name, moved)))
	require.Empty(t, fresh.Findings)
	require.Zero(t, fresh.Worst())
	require.Len(t, known.Findings, len(first.Findings))
	require.Equal(t, first.Count(validate.Error), known.Count(validate.Error))

	fresh, known = b.Split(everywhere(read(t, name, grown)))
	require.Len(t, fresh.Findings, 3)
	require.Equal(t, validate.Error, fresh.Worst())
	require.Len(t, known.Findings, len(first.Findings))

	fresh, _ = b.Split(everywhere(read(t, filepath.Join(dir, "b.jdf"), old)))
	require.Len(t, fresh.Findings, len(first.Findings), "another ticket")
}

func TestBaselineCounts(t *testing.T) {
	src := jdf.NewSource("<stdin>", strings.Repeat("x\n", 9))
	of := func(n int) *validate.Report {
		r := validate.NewReport(0)
		for i := range n {
			r.Add(unused.At(jdf.PlaceAt(src, 2*i, 2*i+1, "same"), validate.F("id", "x")))
		}
		return r
	}
	path := filepath.Join(t.TempDir(), "baseline.json")
	require.NoError(t, house.WriteBaseline(path, of(3)))
	b, err := house.ReadBaseline(path)
	require.NoError(t, err)
	for _, c := range [][3]int{{0, 0, 0}, {2, 0, 2}, {3, 0, 3}, {5, 2, 3}} {
		for range 2 { // a split leaves the baseline as it was
			fresh, known := b.Split(of(c[0]))
			require.Equal(t, [2]int{c[1], c[2]}, [2]int{len(fresh.Findings), len(known.Findings)})
		}
	}
}

func TestBaselineLeavesSilencedOut(t *testing.T) {
	silent := unused.At(jdf.Place{}, validate.F("id", "x"))
	silent.Silenced = &validate.Silence{Reason: "spare"}
	r := validate.NewReport(0)
	r.Add(silent)
	path := filepath.Join(t.TempDir(), "baseline.json")
	require.NoError(t, house.WriteBaseline(path, r))
	b, err := house.ReadBaseline(path)
	require.NoError(t, err)
	fresh, known := b.Split(r)
	require.Equal(t, [2]int{1, 0}, [2]int{fresh.Silenced, known.Silenced})
	silent.Silenced = nil
	r = validate.NewReport(0)
	r.Add(silent)
	fresh, _ = b.Split(r)
	require.Equal(t, 1, fresh.Count(validate.Error), "when the silence ends, the finding is new")
}

func TestBaselineIsWrittenWholeOrNotAtAll(t *testing.T) {
	dir := t.TempDir()
	path := filepath.Join(dir, "baseline.json")
	require.NoError(t, os.WriteFile(path, []byte("before"), 0o644))
	capped := validate.NewReport(1)
	capped.Add(unused.At(jdf.Place{}))
	capped.Add(noID.At(jdf.Place{}))
	require.ErrorContains(t, house.WriteBaseline(path, capped), "1 findings fewer")
	require.Error(t, house.WriteBaseline(filepath.Join(dir, "no", "such.json"), validate.NewReport(0)))
	require.NoError(t, os.Mkdir(filepath.Join(dir, "folder"), 0o755))
	require.Error(t, house.WriteBaseline(filepath.Join(dir, "folder"), validate.NewReport(0)))
	text, err := os.ReadFile(path)
	require.NoError(t, err)
	require.Equal(t, "before", string(text))
	require.NoError(t, house.WriteBaseline(path, validate.NewReport(0)))
	entries, err := os.ReadDir(dir)
	require.NoError(t, err)
	require.Len(t, entries, 2, "no file is left over")
	if runtime.GOOS != "windows" {
		info, err := os.Stat(path)
		require.NoError(t, err)
		require.Equal(t, os.FileMode(0o644), info.Mode().Perm())
	}
}

func TestReadBaselineFaults(t *testing.T) {
	path := filepath.Join(t.TempDir(), "baseline.json")
	_, err := house.ReadBaseline(path)
	require.ErrorIs(t, err, os.ErrNotExist)
	const entry = `{"file":"a","rule":"r/s","message":"m","fingerprint":"0","count":1}`
	for text, want := range map[string]string{
		``:                              "it is no baseline",
		`[]`:                            "it is no baseline",
		`{"version":1,"findngs":[]}`:    "it is no baseline",
		`{"version":1,"findings":[]} x`: "more behind its end",
		`{"version":2,"findings":[]}`:   "of version 2; want 1",
		`{"version":1,"findings":[{}]}`: "entry 1 is empty or given twice",
		`{"version":1,"findings":[` + entry + `,` + entry + `]}`: "entry 2 is empty or given twice",
	} {
		require.NoError(t, os.WriteFile(path, []byte(text), 0o644))
		_, err := house.ReadBaseline(path)
		require.ErrorContains(t, err, want, text)
		require.ErrorContains(t, err, path)
	}
	require.NoError(t, os.WriteFile(path, []byte(`{"version":1,"findings":[`+entry+`]}`), 0o644))
	_, err = house.ReadBaseline(path)
	require.NoError(t, err)
}
