package profile_test

import (
	"fmt"
	"os"
	"path/filepath"
	"regexp"
	"strings"
	"sync"
	"testing"
	"time"

	"github.com/stretchr/testify/require"

	"quoin/jdf"
	"quoin/validate"
	"quoin/validate/profile"
)

func document(t testing.TB, text string) *jdf.Document {
	t.Helper()
	doc, faults, err := jdf.Read("t.jdf", strings.NewReader(text), jdf.Limits{})
	require.NoError(t, err)
	require.Empty(t, faults)
	return doc
}

func decode(t testing.TB, text string) *profile.Profile {
	t.Helper()
	p, findings := profile.Decode("own.yaml", []byte(text))
	for _, f := range findings {
		t.Fatalf("%s: %s", line(f), f.Message())
	}
	return p
}

func found(p *profile.Profile, doc *jdf.Document) []string {
	var out []string
	report := validate.NewReport(0)
	p.Check(doc, nil, report.Add)
	report.Finish()
	for _, f := range report.Findings {
		out = append(out, line(f)+" "+fact(f, "clause"))
	}
	return out
}

// documented is the example of the package's documentation.
func documented(t *testing.T) string {
	source, err := os.ReadFile("doc.go")
	require.NoError(t, err)
	var out strings.Builder
	for l := range strings.Lines(string(source)) {
		if text, ok := strings.CutPrefix(l, "//\t"); ok {
			out.WriteString(text)
		} else if out.Len() > 0 {
			break
		}
	}
	return out.String()
}

// TestDocumentedExample runs the profile that the documentation shows.
func TestDocumentedExample(t *testing.T) {
	p := decode(t, documented(t))
	require.Equal(t, "saltmarsh-folding", p.Name)
	doc := document(t, `<JDF xmlns="http://www.CIP4.org/JDFSchema_1_1" Type="Folding" Version="1.4">
	<ResourcePool>
		<FoldingParams ID="f"/>
		<Media ID="m" MediaType="Paper" GrainDirection="Either" Weight="250"/>
		<Media ID="n" MediaType="Plate" GrainDirection="Either" Weight="170"/>
	</ResourcePool>
</JDF>`)
	require.Equal(t, []string{
		"error schema/profile-missing 3:4 /JDF/ResourcePool/FoldingParams catalogue",
		"error schema/profile-condition 4:4 /JDF/ResourcePool/Media[1] heavy-stock",
		"warning schema/profile-value 4:51 /JDF/ResourcePool/Media[1]/@GrainDirection grain",
	}, found(p, doc))
	p.Check(doc, nil, func(f validate.Finding) {
		if fact(f, "clause") == "heavy-stock" {
			require.Equal(t, validate.Operator, f.Rule.Mends)
			require.Equal(t, "add a Creasing process", f.Advice())
			require.Equal(t, "own.yaml", f.Related[0].Place.File())
		}
	})
	for _, other := range []string{
		`<XJDF xmlns="http://www.CIP4.org/JDFSchema_2_0" Types="Folding"/>`,
		`<JDF xmlns="http://www.CIP4.org/JDFSchema_1_1" Type="Folding" Version="1.2"/>`,
		`<JDF xmlns="http://www.CIP4.org/JDFSchema_1_1" Type="Cutting" Version="1.4"/>`,
	} {
		require.Equal(t, []string{"note schema/profile-scope 1:2 /" + other[1:strings.IndexByte(other, ' ')] + " "},
			found(p, document(t, other)))
	}
}

var openFact = regexp.MustCompile(`\{[a-z]+(\|q)?\}`)

// TestWordsAreFilled holds every ticket of the golden files against every
// published profile, most of which are for other files, and against two clauses
// for what those do not have. No finding shows a template, and each on a ticket
// says what to do.
func TestWordsAreFilled(t *testing.T) {
	profiles := []*profile.Profile{
		decode(t, head+"clauses:\n  - {clause: a, at: JDF, unique: ['ResourceLinkPool/ComponentLink/@Usage'], count: {ResourcePool: 0}}\n"+
			"  - {clause: b, at: JDF, condition: 'false()', message: m, do: stop}\n"),
	}
	for _, name := range profile.Names() {
		profiles = append(profiles, load(t, name))
	}
	paths, err := filepath.Glob(filepath.Join("testdata", "*", "*.*j[dm]f"))
	require.NoError(t, err)
	require.NotEmpty(t, paths)
	broken := map[string]bool{}
	for _, path := range paths {
		for _, p := range profiles {
			for _, f := range check(t, p, path) {
				broken[f.Rule.ID] = true
				require.NotRegexp(t, openFact, f.Message()+f.Advice(), "%s: %s", path, f.Rule.ID)
				require.NotEmpty(t, f.Advice(), f.Rule.ID)
			}
		}
	}
	for _, r := range profile.Rules() {
		if r.Group() == validate.GroupSchema {
			require.NotEqual(t, "{do}", r.Do, r.ID)
			require.True(t, broken[r.ID], "nothing breaks %s", r.ID)
		}
	}
}

// TestBounds stands at both sides of each limit that a profile can set.
func TestBounds(t *testing.T) {
	media := func(n int) *jdf.Document {
		return document(t, `<j:JDF xmlns:j="http://www.CIP4.org/JDFSchema_1_1" Version="1.4" Type="Combined"
			Types="Folding Cutting">
			<j:ResourcePool>`+strings.Repeat(`<j:Media Weight="90"/>`, n)+
			`<s:Media xmlns:s="http://saltmarsh.example" s:Bin="4"/></j:ResourcePool></j:JDF>`)
	}
	for _, c := range []struct {
		keys string
		n    int
		want bool // a finding
	}{
		{"count: {Media: 2}", 1, true}, {"count: {Media: 2}", 2, false}, {"count: {Media: 2}", 3, true},
		{"count: {Media: 1..2}", 0, true}, {"count: {Media: 1..2}", 2, false}, {"count: {Media: 1..2}", 3, true},
		{"count: {Media: 2..}", 1, true}, {"count: {Media: 2..}", 9, false}, {"count: {Media: 0}", 0, false},
		{"require: [Media]", 0, true}, {"require: [Media]", 1, false},
		{"forbid: [Media]", 1, true}, {"forbid: [Media]", 0, false},
		{"require: ['swp:Media/@swp:Bin']", 0, false}, {"forbid: ['swp:Media']", 0, true},
		{"require: ['swp:Stock']", 0, true},
		{"condition: swp:Media/@swp:Bin = 4\n    message: m", 0, false},
		{"condition: xjdf:Media\n    message: m", 1, true},
		{"condition: jdf:Media\n    message: m", 1, false},
		{"condition: count(*) = count(jdf:Media)\n    message: m", 1, true},
		{"allow: {Media/@Weight: ['90']}", 1, false}, {"allow: {Media/@Weight: ['80']}", 1, true},
		{"refuse: {Media/@Weight: ['90']}", 1, true}, {"refuse: {Media/@Weight: ['90']}", 0, false},
		{"unique: [Media/@Weight]", 1, false}, {"unique: [Media/@Weight]", 2, true},
		{"unique: [Media/@Dimension]", 2, false},
		{"processes: [Folding]\n    forbid: [Media]", 1, true}, {"processes: [Cutting]\n    forbid: [Media]", 1, true},
		{"processes: [Combined]\n    forbid: [Media]", 1, true},
		{"processes: [Stitching]\n    forbid: [Media]", 1, false}, {"when: 'not(Media)'\n    forbid: [Media]", 1, false},
	} {
		p := decode(t, "profile: p\nkinds: [JDF]\nnamespaces: {swp: 'http://saltmarsh.example'}\n"+
			"clauses:\n  - clause: c\n    at: ResourcePool\n    "+c.keys+"\n")
		require.Equal(t, c.want, len(found(p, media(c.n))) > 0, "%s with %d", c.keys, c.n)
	}
}

// Words of lists are taken one by one.
func TestWords(t *testing.T) {
	doc := document(t, `<XJDF xmlns="http://www.CIP4.org/JDFSchema_2_0" Types="Folding  Cutting"`+
		` JobID="Folding Cutting"/>`)
	for keys, want := range map[string]int{
		"allow: {'@Types': [Folding, Cutting]}": 0, "allow: {'@Types': [Folding]}": 1,
		"contain: {'@Types': [Cutting]}":           0,
		"contain: {'@Types': [Cutting, Trimming]}": 1, "refuse: {'@Types': [Cutting]}": 1,
		"allow: {'@JobID': [Folding, Cutting]}": 1, "allow: {'@JobID': [Folding Cutting]}": 0,
	} {
		p := decode(t, "profile: p\nkinds: [XJDF]\nclauses:\n  - clause: c\n    at: /XJDF\n    "+keys+"\n")
		require.Len(t, found(p, doc), want, keys)
	}
}

func TestVersions(t *testing.T) {
	for versions, want := range map[string]string{
		"1.4": "4", "1.3 - 1.5": "345", "1.4 -": "456", "'- 1.4'": "34", "1.4-1.4": "4",
	} {
		p := decode(t, "profile: p\nkinds: [JDF]\nversions: "+versions+
			"\nclauses: [{clause: c, at: JDF, require: ['@ID']}]\n")
		got := ""
		for minor := 3; minor <= 6; minor++ {
			doc := document(t, fmt.Sprintf(`<JDF xmlns="http://www.CIP4.org/JDFSchema_1_1" Version="1.%d"/>`, minor))
			if strings.Contains(found(p, doc)[0], "missing") {
				got += fmt.Sprint(minor)
			}
		}
		require.Equal(t, want, got, versions)
	}
}

// A profile that asks for endless work is left, and says so, in bounded time.
func TestSteps(t *testing.T) {
	doc := document(t, `<JDF xmlns="http://www.CIP4.org/JDFSchema_1_1"><ResourcePool>`+
		strings.Repeat("<Media><Contact/></Media>", 3000)+`</ResourcePool></JDF>`)
	for _, keys := range []string{
		"condition: 'count(//*[count(//*[count(//*) > 1]) > 1]) > 1'\n    message: m",
		"condition: string-length(/) >= count(preceding::*[not(following::Media)])\n    message: m",
		"require: [\"Contact[not(//*[not(//*)])]\"]",
	} {
		start := time.Now()
		p := decode(t, clause(keys)+"  - clause: behind\n    at: JDF\n    require: ['@ID']\n")
		got := found(p, doc)
		require.Contains(t, got[len(got)-1], "house/profile-undecided", keys)
		require.Less(t, time.Since(start), 20*time.Second)
	}
	var message string
	decode(t, clause("condition: 'count(//*[count(//*[count(//*) > 1]) > 1]) > 1'\n    message: m")).
		Check(doc, nil, func(f validate.Finding) { message = f.Message() })
	require.Contains(t, message, "too many steps on this file")
}

// One profile is used by many at once.
func TestConcurrent(t *testing.T) {
	p := load(t, "mis-cp-1")
	path := filepath.Join("testdata", "mis-cp-1", "bad-empty.xjdf")
	want := check(t, p, path)
	var all sync.WaitGroup
	for range 8 {
		all.Go(func() {
			for range 5 {
				if got := check(t, p, path); len(got) != len(want) {
					t.Errorf("%d findings, want %d", len(got), len(want))
				}
			}
		})
	}
	all.Wait()
}

func TestLoad(t *testing.T) {
	_, _, err := profile.Load("bse-1")
	require.ErrorContains(t, err, "did you mean base-1?")
	_, _, err = profile.Load("none.yaml")
	require.ErrorContains(t, err, `read profile "none.yaml"`)
	path := filepath.Join(t.TempDir(), "own.yml")
	require.NoError(t, os.WriteFile(path, []byte("\ufeffprofile: own\nkinds: [JDF]\n"+
		"include: [base-1]\nexcept: [claim]\n"), 0o644))
	p := load(t, path)
	require.NotContains(t, p.Clauses(), "claim")
	require.Contains(t, p.Clauses(), "job-id")
	require.NoError(t, os.WriteFile(path, []byte(strings.Repeat("# x\n", 70_000)), 0o644))
	_, _, err = profile.Load(path)
	require.ErrorContains(t, err, "over 256 KiB")
}

func TestDuties(t *testing.T) {
	var lines []string
	keys := "when: '@ID'\n    require: ['@Weight']\n    forbid: [Contact]\n    take: ['@Dimension']"
	for _, d := range decode(t, clause(keys)).Duties() {
		lines = append(lines, fmt.Sprintf("%s at %s when %s %s %s", d.Clause, d.At, d.When, d.Does, d.Item))
	}
	require.Equal(t, []string{
		"c at Media when @ID gives @Weight", "c at Media when @ID leaves out Contact", "c at Media when @ID takes @Dimension",
	}, lines)
}
