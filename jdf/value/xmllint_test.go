package value_test

import (
	"encoding/xml"
	"fmt"
	"math/rand/v2"
	"os"
	"os/exec"
	"path/filepath"
	"regexp"
	"slices"
	"strconv"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"

	"quoin/jdf/value"
)

// judged is a type whose verdicts are compared with those of libxml2.
type judged struct {
	name     string // of the type in XML Schema
	accepts  func(string) bool
	alphabet string   // what mutants are made of
	seeds    []string // valid and invalid, each also a source of mutants
}

func parses[T any](parse func(string) (T, error)) func(string) bool {
	return func(s string) bool {
		_, err := parse(s)
		return err == nil
	}
}

func judgedTypes() []judged {
	return []judged{
		{"duration", parses(value.ParseDuration), "PYMDTHS0123456789.-+W ", []string{
			"P1Y2M3DT10H30M", "-P120D", "P1347M", "P1Y2MT2H", "P0Y1347M0D", "PT0S", "PT1004199059S",
			"P-1347M", "P1Y2MT", "P1M2Y", "P", "P1", "PT", "1Y", "P1S", "PT1.5H", "P1W", "", "+P1Y", "P1Y1Y", "P1DT",
			"PT1.S", "PT.5S", "PT0.123456789123S", "P99999999999999999999Y", "P1000000000000Y", "PT99999999999S",
			" P1D ", "-P0D", "PT1S1M", "PT1H1M1S", "-P", "P1.5Y", "P2147483648M", "--P1D"}},
		{"dateTime", parses(value.ParseDateTime), "0123456789-:T.Z+ ", []string{
			"2024-05-31T18:20:00+00:00", "2024-05-31T13:20:00-05:00", "2024-02-29T00:00:00", "2025-02-29T00:00:00",
			"1900-02-29T00:00:00", "2000-02-29T00:00:00Z", "-0004-02-29T00:00:00", "-0001-02-29T00:00:00",
			"0000-01-01T00:00:00", "-0000-01-01T00:00:00", "12024-01-01T00:00:00", "02024-01-01T00:00:00",
			"2024-01-01T24:00:00", "2024-01-01T24:00:00.0", "2024-01-01T24:00:00.5", "2024-01-01T24:00:01",
			"2024-01-01T00:00:00+14:00", "2024-01-01T00:00:00+14:01", "2024-01-01T00:00:00-14:00",
			"2024-01-01T00:00:00+13:60", "2024-01-01T00:00:00z", "2024-01-01t00:00:00", "2024-01-01T23:59:60",
			"2024-01-01T00:00:00.", "2024-01-01T00:00:00.123456789012345", "2024-01-01T00:00", "2024-01-01",
			"+2024-01-01T00:00:00", " 2024-01-01T00:00:00 ",
			"999999999-01-01T00:00:00", "99999999999-01-01T00:00:00", "", "2024-13-01T00:00:00"}},
		{"date", parses(value.ParseDate), "0123456789-:Z+", []string{
			"2024-01-01", "2024-01-01Z", "2024-01-01+01:00", "2024-13-01", "2024-02-30", "24-01-01", "-0001-12-31"}},
		{"gYearMonth", parses(value.ParseYearMonth), "0123456789-:Z+", []string{
			"2024-01", "2024-01Z", "2024-13", "2024-00", "2024-1", "-0001-01", "2024-12-05:00"}},
		{"time", parses(value.ParseTimeOfDay), "0123456789:.Z+", []string{
			"00:00:00", "24:00:00", "24:00:01", "12:00", "12:00:00.5Z", "12:00:00+14:00", "23:59:59"}},
		{"double", parses(value.ParseDouble), "0123456789.eE+-INFa x_", []string{
			"INF", "-INF", "+INF", "NaN", "NaN ", " INF ", "-NaN", "1.", ".5", ".", "1e", "1e5", "1E+5", "1e400", "0x1p3", "1_0",
			"Infinity", "inf", "", "+1", "--1", "-.5", "1.e1", "1d", " 1 ", "1 2", "-0", "1e1.5", "e5", "+", "+.e1"}},
		{"float", value.IsDouble, "0123456789.eE+-INFa", []string{"1e400", "+INF", ".", "1.", "-3.14159"}},
		{"boolean", parses(value.ParseBoolean), "truefals01 ", []string{
			"true", "false", "1", "0", "TRUE", "", " true ", "2", "01"}},
		{"integer", value.IsInteger, "0123456789+- .", []string{
			"+1", "-0", "", "999999999999999999999999", "99999999999999999999999999999999", "1.0", "0x1", " 1 ", "+",
			"00012"}},
		{"long", parses(value.ParseInteger), "0123456789+-", []string{
			"9223372036854775807", "9223372036854775808", "+5", "-9223372036854775808", "-9223372036854775809"}},
		{"int", parses(value.ParseInt), "0123456789+-", []string{
			"2147483647", "2147483648", "-2147483648", "-2147483649", "7"}},
		{"hexBinary", value.IsHexBinary, "0123456789abcdefABCDEFgG ", []string{
			"", "0", "0a", "0G", "0A1C", " 0a ", "0a 0a"}},
		{"NMTOKEN", value.IsNMTOKEN, "aZ09.-_:,/ é日·", []string{
			"", "a b", "1a", ":a", "-", "é", "日本", "\u0132", "·", "\u0301", "a\u037e", "\U00010000", "a,b", "\u203f",
			"×", " a ", "a/b", "ABC_6", "a\tb"}},
		{"NMTOKENS", value.IsNMTOKENS, "aZ09.-_:, ", []string{"a b", "a  b", "a,b c", "a\nb", "", "ABC_6 ABCD_3 DEGF"}},
		{"Name", value.IsName, "aZ09.-_:, é", []string{"a", "1a", ":a", "-a", "é", "_", "a:b:c", ".a", ""}},
		{"NCName", value.IsNCName, "aZ09.-_:, é", []string{"a", "a:b", "1a", "_a", "\u0301a", "a-b.c_d", ""}},
		{"ID", value.IsID, "aZ09.-_:", []string{"ID_001", "1", "a:b"}},
		{"language", value.IsLanguage, "abcXYZ09-_ ", []string{
			"en", "en-US", "i-klingon", "x-foo", "abcdefgh", "abcdefghi", "en-", "a", "ab1", "en-abcdefghi", "de-CH-1901",
			"en--US", "", "en_US", "zh-Hant-TW", "1en"}},
		{"anyURI", value.IsURI, "abh1:/?#[]@%.+-_ \\<|ä", []string{
			"", "a b", "%", "%zz", "%41", "a#b#c", "[x]", "http://[::1]/", "a[b", "1a:b", ":foo", "a:", "http://a:b",
			"http://a:80/", "{x}", "ä", `\\srv\share`, `C:\x y`, "//", "///", "?", "#", "a?b?c", "a#[", "?[", "http:////a",
			"file://myHost/a/c%20%c3%a4%25.pdf", "http://u:p@h:1/", "http://u@v@h/", "http://[zz", "http://[]/",
			"http://[::1]x/", "http://h:/", "http://h:2147483647/", "http://h:2147483648/", "a/1:2", "./1:2", "a+b:c",
			"a_b:c", "//h:x", "//u:x@h", "cid:a@b"}},
	}
}

// deviation is a known difference between libxml2 and us, with the reason for ours.
type deviation struct {
	types  string // names with a blank around each
	form   *regexp.Regexp
	reason string
}

func deviations() []deviation {
	return []deviation{
		{" duration dateTime date gYearMonth time ", regexp.MustCompile(`^\s|\s$`),
			"white space is collapsed for every type but string; libxml2 leaves it before a date and around a duration"},
		{" double float ", regexp.MustCompile(`(NaN|INF)\s+$`),
			"white space is collapsed for every type but string; libxml2 leaves it after NaN and INF"},
		{" duration ", regexp.MustCompile(`\D\.|\.\D`),
			"XML Schema wants digits on both sides of the point; libxml2 does not"},
		{" duration ", regexp.MustCompile(`\d{10,}`),
			"beyond the fields of value.Duration; XML Schema lets a processor set limits"},
		{" dateTime date gYearMonth ", regexp.MustCompile(`^-?\d{10,}-`),
			"beyond the nine digits of a year; XML Schema lets a processor set limits"},
		{" double float ", regexp.MustCompile(`[eE][+-]?\s*$`),
			"an exponent needs digits; libxml2 does not want any"},
		{" integer ", regexp.MustCompile(`\d{25,}`),
			"libxml2 holds 24 digits; the length of an xs:integer is unbounded"},
		{" NMTOKENS ", regexp.MustCompile(`^\s*$`),
			"the list must have an item; libxml2 lets an empty one pass"},
		{" NMTOKEN ", regexp.MustCompile("[\u0132\u203f\U00010000]"),
			"name characters of XML 1.0, Fifth Edition; libxml2 keeps those of the Fourth for this type"},
	}
}

// Source: the verdicts of xmllint (libxml2), run with a schema that gives each element a built-in type.
func TestVerdictsAgreeWithLibxml2(t *testing.T) {
	lint := findXmllint(t)
	known := deviations()
	used := make([]bool, len(known))
	total := 0
	for _, typ := range judgedTypes() {
		cases := withMutants(typ, mutantsPerType(t))
		total += len(cases)
		verdicts := askLibxml2(t, lint, typ.name, cases)
		for i, text := range cases {
			if typ.accepts(text) == verdicts[i] {
				continue
			}
			if at := explanation(known, typ.name, text); at >= 0 {
				used[at] = true
				continue
			}
			t.Errorf("%s %q: we say %v, libxml2 says %v", typ.name, text, typ.accepts(text), verdicts[i])
		}
	}
	require.Greater(t, total, 2000)
	for i, deviation := range known {
		require.True(t, used[i], "no case shows the deviation: %s", deviation.reason)
	}
}

func explanation(known []deviation, typ, text string) int {
	for i, d := range known {
		if strings.Contains(d.types, " "+typ+" ") && d.form.MatchString(text) {
			return i
		}
	}
	return -1
}

func findXmllint(t *testing.T) string {
	t.Helper()
	path, err := exec.LookPath("xmllint")
	if err == nil {
		return path
	}
	if os.Getenv("CI") != "" {
		t.Fatal("xmllint is missing; install the package libxml2-utils")
	}
	t.Skip("xmllint is missing; install the package libxml2-utils to compare verdicts with libxml2")
	return ""
}

// mutantsPerType can be raised to look for differences.
func mutantsPerType(t *testing.T) int {
	t.Helper()
	text := os.Getenv("QUOIN_MUTANTS")
	if text == "" {
		return 120
	}
	n, err := strconv.Atoi(text)
	require.NoError(t, err)
	return n
}

// withMutants adds texts made from the seeds by one to three small changes.
func withMutants(typ judged, count int) []string {
	random := rand.New(rand.NewPCG(20, 26))
	alphabet := []rune(typ.alphabet)
	cases := append([]string(nil), typ.seeds...)
	for range count {
		text := []rune(typ.seeds[random.IntN(len(typ.seeds))])
		for range 1 + random.IntN(3) {
			at := random.IntN(len(text) + 1)
			letter := alphabet[random.IntN(len(alphabet))]
			switch random.IntN(3) {
			case 0:
				text = append(text[:at:at], append([]rune{letter}, text[at:]...)...)
			case 1:
				text = append(text[:at:at], text[min(at+1, len(text)):]...)
			default:
				text = append(append(text[:at:at], letter), text[min(at+1, len(text)):]...)
			}
		}
		cases = append(cases, string(text))
	}
	// An ID may come only once in a document.
	slices.Sort(cases)
	return slices.Compact(cases)
}

const verdictSchema = `<xs:schema xmlns:xs="http://www.w3.org/2001/XMLSchema">
<xs:element name="cases"><xs:complexType><xs:sequence>
<xs:element name="v" type="xs:%s" maxOccurs="unbounded"/>
</xs:sequence></xs:complexType></xs:element></xs:schema>`

// askLibxml2 gives a verdict for each case. Each stands on a line of its own, and the errors name the line.
func askLibxml2(t *testing.T, lint, typ string, cases []string) []bool {
	t.Helper()
	dir := t.TempDir()
	schema, document := filepath.Join(dir, "type.xsd"), filepath.Join(dir, "cases.xml")
	require.NoError(t, os.WriteFile(schema, fmt.Appendf(nil, verdictSchema, typ), 0o600))
	var lines strings.Builder
	lines.WriteString("<cases>\n")
	for _, text := range cases {
		lines.WriteString("<v>")
		require.NoError(t, xml.EscapeText(&lines, []byte(text))) // escapes line ends too
		lines.WriteString("</v>\n")
	}
	lines.WriteString("</cases>\n")
	require.NoError(t, os.WriteFile(document, []byte(lines.String()), 0o600))

	out, err := exec.Command(lint, "--noout", "--schema", schema, document).CombinedOutput()
	verdicts := make([]bool, len(cases))
	for i := range verdicts {
		verdicts[i] = true
	}
	if err == nil {
		return verdicts
	}
	found := regexp.MustCompile(`(?m)cases\.xml:(\d+): element v: Schemas validity error`).FindAllSubmatch(out, -1)
	require.NotEmpty(t, found, "xmllint: %s", out)
	for _, match := range found {
		line, err := strconv.Atoi(string(match[1]))
		require.NoError(t, err)
		verdicts[line-2] = false
	}
	return verdicts
}
