package profile_test

import (
	"fmt"
	"os"
	"path/filepath"
	"strings"
	"testing"
	"time"
	"unicode/utf8"

	"github.com/stretchr/testify/require"

	"quoin/validate"
	"quoin/validate/profile"
)

const head = "profile: p\nkinds: [JDF]\n"

// clause makes a profile of one clause with more keys in it.
func clause(keys string) string {
	return head + "clauses:\n  - clause: c\n    at: Media\n    " + keys + "\n"
}

var faulty = []struct{ name, text string }{
	{"empty", ""},
	{"only a comment", "# nothing\n"},
	{"not YAML", "profile: p\nkinds: [JDF\nclauses:\n\t- x\n"},
	{"name not quoted", head + "clauses:\n  - clause: c\n    at: Media\n    require: [@ID]\n"},
	{"not UTF-8", "profile: \xff\n"},
	{"second document", head + "---\nprofile: q\n"},
	{"a list", "- profile\n"},
	{"mistyped key", "profil: p\nkinds: [JDF]\n"},
	{"key behind umlauts", "{'ünïcode': 1, profile: p, kinds: [JDF], clause: []}\n"},
	{"key twice", head + "kinds: [XJDF]\n"},
	{"no name", "kinds: [JDF]\n"},
	{"no kinds", "profile: p\n"},
	{"no clauses", head},
	{"unknown kind", "profile: p\nkinds: [JFD]\n"},
	{"kinds is a word", "profile: p\nkinds: JDF\n"},
	{"empty value", "profile: p\nkinds:\n"},
	{"versions", head + "versions: 1.9 - 1.3\n"},
	{"versions in words", head + "versions: new\n"},
	{"process", head + "processes: [ConventionalPrintng]\n"},
	{"include", head + "include: [base-3]\n"},
	{"except", head + "include: [base-1]\nexcept: [job-idd]\n"},
	{"except of nothing", head + "except: [job-id]\n"},
	{"prefix taken", head + "namespaces: {jdf: 'http://saltmarsh.example'}\n"},
	{"prefix no name", head + "namespaces: {'1a': 'http://saltmarsh.example'}\n"},
	{"alias", "profile: &a p\nkinds: [*a]\n"},
	{"clause without place", head + "clauses:\n  - clause: c\n    require: [Media]\n"},
	{"clause without demand", head + "clauses: [{clause: c, at: Media}]\n"},
	{"clause is a word", head + "clauses: [c]\n"},
	{"clause twice", head + "clauses:\n  - {clause: c, at: JDF, require: ['@ID']}\n" +
		"  - {clause: c, at: JDF, require: ['@ID']}\n"},
	{"mistyped clause key", clause("requires: ['@ID']")},
	{"unknown element", strings.ReplaceAll(clause("require: ['@ID']"), "Media", "Medai")},
	{"unknown attribute", clause("require: ['@Wieght']")},
	{"misplaced attribute", clause("require: ['@FoldCatalog']")},
	{"misplaced element", clause("require: [FoldingParams]")},
	{"misplaced step", strings.ReplaceAll(clause("require: ['@ID']"), "Media", "ResourcePool/JDF")},
	{"at an attribute", strings.ReplaceAll(clause("require: ['@ID']"), "Media", "'Media/@ID'")},
	{"absolute item", clause("require: [/JDF]")},
	{"item with rest", clause("require: ['@ID Weight']")},
	{"position in a path", strings.ReplaceAll(clause("require: ['@ID']"), "Media", "'Media[2]'")},
	{"undeclared prefix", clause("require: ['swp:Stock']")},
	{"values of an element", clause("allow: {Contact: [a]}")},
	{"unique element", clause("unique: [Contact]")},
	{"no arguments", clause("when: position(1) = 1\n    require: ['@ID']")},
	{"no values", clause("allow: {'@Weight': []}")},
	{"count of an attribute", clause("count: {'@ID': 1}")},
	{"count", clause("count: {Contact: 3..1}")},
	{"severity", clause("require: ['@ID']\n    severity: eror")},
	{"mends", clause("require: ['@ID']\n    mends: customer")},
	{"condition without message", clause("condition: '@ID'")},
	{"bracket", clause("when: \"Location[@LocationName\"\n    require: ['@ID']")},
	{"quote", clause("when: \"@Weight = 'heavy\"\n    require: ['@ID']")},
	{"rest", clause("when: '@Weight @ID'\n    require: ['@ID']")},
	{"function", clause("when: \"starts-wiht(@ID, 'a')\"\n    require: ['@ID']")},
	{"function of 2.0", clause("when: \"matches(@ID, 'a')\"\n    require: ['@ID']")},
	{"arguments", clause("when: contains(@ID)\n    require: ['@ID']")},
	{"variable", clause("when: '@Weight > $heavy'\n    require: ['@ID']")},
	{"axis", clause("when: ancester::JDF\n    require: ['@ID']")},
	{"number for truth", clause("when: count(*)\n    require: ['@ID']")},
	{"text for nodes", clause("when: count('a') > 1\n    require: ['@ID']")},
	{"name in an expression", clause("when: \"'é' = @Wieght\"\n    require: ['@ID']")},
	{"misplaced in an expression", clause("when: ../Media/@FoldCatalog\n    require: ['@ID']")},
	{"position outside", clause("when: position() = 1\n    require: ['@ID']")},
	{"twice reached", clause("when: count(*/..) > 1\n    require: ['@ID']")},
	{"stirred", clause("when: \"*[@ID]/@Class = *[@Status]/@Class\"\n    require: ['@ID']")},
	{"folded", clause("when: >-\n      @ID and\n      @Wieght > 3\n    require: ['@ID']")},
	{"literal", clause("when: |\n      @ID and\n\n      @Wieght > 3\n    require: ['@ID']")},
	{"doubled quotes", clause("when: '''ä'' = @Wieght'\n    require: ['@ID']")},
	{"escaped", clause("when: \"\\\"ä\\\" = @Wieght\"\n    require: ['@ID']")},
	{"escaped letter", clause("when: \"\\x41 = @Wieght\"\n    require: ['@ID']")},
	{"dot in brackets", clause("when: .[@ID]\n    require: ['@ID']")},
	{"too long", clause("when: '" + strings.Repeat("@ID or ", 150) + "@ID'\n    require: ['@ID']")},
	{"too deep", clause("when: '" + strings.Repeat("(", 30) + "@ID" +
		strings.Repeat(")", 30) + "'\n    require: ['@ID']")},
}

// TestFaults pins what is said of each fault, and where, to the column. Every
// rule on profiles, but that on undecided clauses, is broken.
func TestFaults(t *testing.T) {
	var got strings.Builder
	broken := map[string]bool{}
	for _, c := range faulty {
		_, findings := profile.Decode("own.yaml", []byte(c.text))
		require.NotEmpty(t, findings, c.name)
		fmt.Fprintf(&got, "== %s\n", c.name)
		for _, f := range findings {
			broken[f.Rule.ID] = true
			require.NotContains(t, f.Message()+f.Advice(), "{", c.name)
			at, end := f.Place.Pos(), f.Place.EndPos()
			fmt.Fprintf(&got, "%d:%d-%d %s\n  %s\n", at.Line, at.Column, end.Column, f.Rule.ID, f.Message())
			if advice := f.Advice(); advice != "" {
				fmt.Fprintf(&got, "  do %s\n", advice)
			}
			if at.Line == end.Line {
				fmt.Fprintf(&got, "  at %q\n", f.Place.Source.Text[f.Place.Start:min(f.Place.End, f.Place.Start+40)])
			}
		}
	}
	golden(t, filepath.Join("testdata", "faults.txt"), got.String())
	for _, r := range profile.Rules() {
		if r.Group() == validate.GroupHouse && r.ID != "house/profile-undecided" {
			require.True(t, broken[r.ID], "nothing breaks %s", r.ID)
		}
	}
}

func TestRuleTable(t *testing.T) {
	seen := map[string]bool{}
	for _, r := range profile.Rules() {
		require.False(t, seen[r.ID], "%s twice", r.ID)
		seen[r.ID] = true
		require.Contains(t, validate.Groups(), r.Group())
		require.NotEmpty(t, r.Say)
		require.NotEmpty(t, r.Why, r.ID)
		require.NotRegexp(t, `\.$`, r.Say+r.Do, r.ID)
	}
}

// TestLargeFaults reads the largest files with a fault in every entry. Common
// practice, no source: nobody waits longer for a file to be read.
func TestLargeFaults(t *testing.T) {
	fill := func(before, entry, after string) string {
		return before + strings.Repeat(entry, (256<<10-len(before)-len(after))/len(entry)) + after
	}
	for name, text := range map[string]string{
		"names in one line":   fill(head+"clauses: [{clause: ü, at: Media, require: [", "'@Wieght', ", "]}]\n"),
		"names":               fill(head+"clauses:\n  - clause: c\n    at: Media\n    require:\n", "      - '@Wieght'\n", ""),
		"processes":           fill(head+"processes:\n", "  - ConventionalPrintng\n", ""),
		"expressions":         fill(head+"clauses:\n", "  - {clause: c, at: Media, when: '@Wieght', require: ['@ID']}\n", ""),
		"clauses":             fill(head+"clauses:\n", "  - {clause: c, at: Media, require: ['@ID']}\n", ""),
		"keys":                fill("", "kinds: []\n", ""),
		"excepted":            fill(head+"include: [base-1]\nexcept:\n", "  - job-idd\n", ""),
		"included":            fill(head+"include:\n", "  - base-1\n", ""),
		"nested":              fill("profile: ", "[", ""),
		"nested, not closed":  fill("profile: ", "{a: ", ""),
		"not YAML at the end": fill(head+"clauses:\n", "  - {clause: c, at: Media, require: ['@ID']}\n", "\t- x"),
	} {
		start := time.Now()
		_, findings := profile.Decode("own.yaml", []byte(text))
		took := time.Since(start)
		t.Logf("%s: %d findings in %v", name, len(findings), took)
		require.Less(t, took, 20*time.Second, name)
	}
}

// FuzzDecode looks for texts that stop the decoder, and for findings without place.
func FuzzDecode(f *testing.F) {
	for _, c := range faulty {
		f.Add(c.text)
	}
	paths, err := filepath.Glob(filepath.Join("published", "*.yaml"))
	require.NoError(f, err)
	require.NotEmpty(f, paths)
	for _, path := range paths {
		text, err := os.ReadFile(path)
		require.NoError(f, err)
		f.Add(string(text))
	}
	f.Fuzz(func(t *testing.T, text string) {
		p, findings := profile.Decode("fuzz.yaml", []byte(text))
		p.Duties()
		for _, x := range findings {
			if x.Place.Start < 0 || x.Place.End < x.Place.Start || x.Place.End > len(x.Place.Source.Text) {
				t.Fatalf("%s stands from %d to %d of %d", x.Rule.ID, x.Place.Start, x.Place.End, len(x.Place.Source.Text))
			}
			if utf8.ValidString(text) && !utf8.ValidString(x.Message()) {
				t.Fatalf("%s cuts a letter: %q", x.Rule.ID, x.Message())
			}
		}
	})
}

// FuzzExpression looks for conditions that stop the evaluation: all that is
// compiled is evaluated on a small ticket.
func FuzzExpression(f *testing.F) {
	for _, e := range []string{
		"@ID", "//Media[@Weight > 3]/@ID = @rRef", "count(*) > 2", "not(substring(@ID, 2) = 'a')",
		"string-length(normalize-space(.)) < 3", "*[position() = last()]", "-1 < +1", "a[b[c[d]]]", "'", "((((", "* * *",
	} {
		f.Add(e)
	}
	doc := document(f, `<JDF xmlns="http://www.CIP4.org/JDFSchema_1_1" ID="a"><ResourcePool><Media ID="b" Weight="90"/>
		<Media ID="c">t<Comment>ä</Comment></Media></ResourcePool><AuditPool/></JDF>`)
	f.Fuzz(func(t *testing.T, expression string) {
		text := clause("condition: |-\n      " + strings.ReplaceAll(expression, "\n", "\n      ") + "\n    message: m")
		p, _ := profile.Decode("fuzz.yaml", []byte(text))
		p.Check(doc, nil, func(x validate.Finding) {
			if x.Rule.ID == "house/profile-undecided" && !strings.Contains(x.Message(), "too many steps") {
				t.Fatalf("%q: %s", expression, x.Message())
			}
		})
	})
}
