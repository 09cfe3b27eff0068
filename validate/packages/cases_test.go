package packages_test

import (
	"archive/zip"
	"bytes"
	"context"
	"encoding/hex"
	"flag"
	"fmt"
	"hash/crc32"
	"io/fs"
	"os"
	"path/filepath"
	"regexp"
	"strconv"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"

	"quoin/jdf/pack"
	"quoin/validate"
	"quoin/validate/packages"
	"quoin/validate/packages/pdf"
)

var update = flag.Bool("update", false, "rewrite what the cases want")

// A case is a text file: a line that says what is packed how and under what
// name, the files after lines such as
//
//	-- art.pdf type=application/pdf id=a@x pages=2 trim=0,0,100,200 --
//
// and the findings after the line "-- want --".
type section struct {
	name string
	keys map[string]string
	text string
}

var mark = regexp.MustCompile(`^-- (\S+)((?: \S+=\S*)*) --$`)

func keys(words string) map[string]string {
	all := map[string]string{}
	for _, w := range strings.Fields(words) {
		if k, v, ok := strings.Cut(w, "="); ok {
			all[k] = v
		}
	}
	return all
}

func parseCase(t *testing.T, path string) (head []string, sections []section) {
	t.Helper()
	data, err := os.ReadFile(path)
	require.NoError(t, err)
	first, rest, _ := strings.Cut(string(data), "\n")
	for line := range strings.Lines(rest) {
		if m := mark.FindStringSubmatch(strings.TrimSuffix(line, "\n")); m != nil {
			sections = append(sections, section{name: m[1], keys: keys(m[2])})
			continue
		}
		require.NotEmpty(t, sections, path)
		sections[len(sections)-1].text += line
	}
	require.NotEmpty(t, sections, path)
	return strings.Fields(first), sections
}

// bytes makes the content of a section.
func (s section) bytes(t *testing.T) []byte {
	t.Helper()
	number := func(key string) int {
		n, err := strconv.Atoi(s.keys[key])
		require.NoError(t, err, key)
		return n
	}
	switch {
	case s.keys["pages"] != "":
		return s.pdf(number("pages"))
	case s.keys["zeros"] != "":
		return make([]byte, number("zeros"))
	case s.keys["hex"] != "":
		data, err := hex.DecodeString(s.keys["hex"])
		require.NoError(t, err)
		return data
	}
	return []byte(s.text)
}

// pdf makes a PDF of equal pages: boxes as four numbers with commas.
func (s section) pdf(pages int) []byte {
	entries := "/MediaBox [0 0 700 900]"
	for key, name := range map[string]string{"media": "MediaBox", "trim": "TrimBox", "bleed": "BleedBox"} {
		if box := s.keys[key]; box != "" {
			entries = strings.ReplaceAll(entries, "/MediaBox [0 0 700 900]", map[bool]string{
				true: "", false: "/MediaBox [0 0 700 900]"}[key == "media"])
			entries += fmt.Sprintf(" /%s [%s]", name, strings.ReplaceAll(box, ",", " "))
		}
	}
	if rotate := s.keys["rotate"]; rotate != "" {
		entries += " /Rotate " + rotate
	}
	root := node{}
	for range pages {
		root.kids = append(root.kids, node{entries: entries})
	}
	version := s.keys["version"]
	if version == "" {
		version = "1.6"
	}
	return writePDF(version, root)
}

// build writes what a case describes, and gives the path to check.
func build(t *testing.T, head []string, sections []section) string {
	t.Helper()
	dir := t.TempDir()
	path := filepath.Join(dir, head[1])
	var data []byte
	switch head[0] {
	case "plain":
		for _, s := range sections {
			require.NoError(t, os.MkdirAll(filepath.Dir(filepath.Join(dir, s.name)), 0o700))
			require.NoError(t, os.WriteFile(filepath.Join(dir, s.name), s.bytes(t), 0o600))
		}
		return filepath.Join(dir, sections[0].name)
	case "raw":
		data = sections[0].bytes(t)
		if sections[0].keys["hex"] == "" {
			data = bytes.ReplaceAll(data, []byte("\n"), []byte("\r\n"))
		}
	case "mime":
		data = buildMIME(t, sections)
	case "zip":
		data = buildZIP(t, sections)
	default:
		t.Fatalf("%q is no kind of case", head[0])
	}
	require.NoError(t, os.WriteFile(path, data, 0o600))
	return path
}

func buildMIME(t *testing.T, sections []section) []byte {
	var parts []*pack.Part
	for _, s := range sections {
		parts = append(parts, pack.NewPart(s.name, s.keys["id"], s.keys["type"], s.bytes(t)))
	}
	var out bytes.Buffer
	require.NoError(t, pack.WriteMIME(&out, parts))
	return out.Bytes()
}

// buildZIP writes entries as they are told, also in ways that pack.WriteZIP refuses.
func buildZIP(t *testing.T, sections []section) []byte {
	var out bytes.Buffer
	z := zip.NewWriter(&out)
	for _, s := range sections {
		h := &zip.FileHeader{Name: s.name, Method: zip.Deflate}
		if s.keys["mode"] == "link" {
			h.SetMode(fs.ModeSymlink | 0o777)
		}
		data := s.bytes(t)
		if s.keys["method"] != "" || s.keys["flags"] != "" || s.keys["sum"] != "" {
			method, _ := strconv.Atoi(s.keys["method"])
			flags, _ := strconv.Atoi(s.keys["flags"])
			h.Method, h.Flags = uint16(method), uint16(flags)
			h.CRC32 = crc32.ChecksumIEEE(data)
			if s.keys["sum"] == "wrong" {
				h.CRC32++
			}
			h.CompressedSize64, h.UncompressedSize64 = uint64(len(data)), uint64(len(data))
			w, err := z.CreateRaw(h)
			require.NoError(t, err)
			_, err = w.Write(data)
			require.NoError(t, err)
			continue
		}
		w, err := z.CreateHeader(h)
		require.NoError(t, err)
		_, err = w.Write(data)
		require.NoError(t, err)
	}
	require.NoError(t, z.Close())
	return out.Bytes()
}

func options(head []string) packages.Options {
	all := keys(strings.Join(head[2:], " "))
	number := func(key string) int64 {
		n, _ := strconv.ParseInt(all[key], 10, 64)
		return n
	}
	return packages.Options{PDF: pdf.Reader{}, MaxPDF: number("maxpdf"), Limits: pack.Limits{
		MaxBytes: number("maxbytes"), MaxParts: int(number("maxparts")), MaxPartBytes: number("maxpart"),
		MaxTotal: number("maxtotal"), MaxHeader: number("maxheader"),
	}}
}

// told writes the findings of a report, without the folder that the test ran in.
func told(report *validate.Report, dir string) string {
	var out strings.Builder
	for _, f := range report.Findings {
		p := f.Place.Pos()
		file := strings.TrimPrefix(f.Place.File(), dir+string(filepath.Separator))
		fmt.Fprintf(&out, "%s:%d:%d: %s %s: %s\n", file, p.Line, p.Column, f.Severity, f.Rule.ID,
			strings.ReplaceAll(f.Message(), dir, "."))
	}
	return out.String()
}

func TestCases(t *testing.T) {
	files, err := filepath.Glob("testdata/*/*.txt")
	require.NoError(t, err)
	require.GreaterOrEqual(t, len(files), 2*len(packages.Rules()), "a bad and a good case for each rule")
	fired := map[string]bool{} // id, and whether by a bad case
	for _, path := range files {
		t.Run(path, func(t *testing.T) {
			head, sections := parseCase(t, path)
			want := ""
			if last := len(sections) - 1; sections[last].name == "want" {
				want, sections = sections[last].text, sections[:last]
			}
			file := build(t, head, sections)
			report, err := packages.Check(context.Background(), &validate.Engine{}, file, options(head))
			require.NoError(t, err)
			got := told(report, filepath.Dir(file))
			if *update {
				rewriteCase(t, path, got)
				want = got
			}
			require.Equal(t, want, got)
			id := "pack/" + filepath.Base(filepath.Dir(path))
			bad := strings.HasPrefix(filepath.Base(path), "bad")
			require.Equal(t, bad, strings.Contains(got, " "+id+": "), "a bad case fires its rule, a good one does not")
			require.NotRegexp(t, `\{[a-z|]+\}`, got, "a fact is missing")
			for _, f := range report.Findings {
				require.NotRegexp(t, `\{[a-z|]+\}`, f.Advice())
			}
			fired[id+fmt.Sprint(bad)] = true
		})
	}
	for _, r := range packages.Rules() {
		require.True(t, fired[r.ID+"true"], "%s has no bad case", r.ID)
		require.True(t, fired[r.ID+"false"], "%s has no good case", r.ID)
	}
}

func rewriteCase(t *testing.T, path, got string) {
	require.Empty(t, os.Getenv("CI"), "-update is not for CI")
	data, err := os.ReadFile(path)
	require.NoError(t, err)
	body, _, _ := strings.Cut(string(data), "-- want --\n")
	require.NoError(t, os.WriteFile(path, []byte(body+"-- want --\n"+got), 0o600))
}

func TestRulesAreWhole(t *testing.T) {
	seen := map[string]bool{}
	for _, r := range packages.Rules() {
		require.Regexp(t, `^pack/[a-z]+(-[a-z]+)*$`, r.ID)
		require.False(t, seen[r.ID], r.ID)
		seen[r.ID] = true
		require.NotEmpty(t, r.Say, r.ID)
		require.NotEmpty(t, r.Do, r.ID)
		require.NotEmpty(t, r.Why, r.ID)
		require.NotZero(t, r.Severity, r.ID)
		require.NotEmpty(t, r.Mends, r.ID)
		require.False(t, strings.HasSuffix(r.Say, "."), r.ID)
	}
	for _, code := range pack.Codes() {
		require.True(t, seen["pack/"+string(code)], "no rule for problem %s", code)
	}
}
