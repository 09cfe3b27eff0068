package validate

import (
	"cmp"
	"crypto/sha256"
	"encoding/hex"
	"fmt"
	"slices"
	"strings"

	"quoin/jdf"
)

// Severity says how heavy a finding is.
type Severity uint8

// The severities, from light to heavy.
const (
	Note    Severity = iota + 1 // worth knowing; nothing to mend
	Warning                     // likely wrong, or will be in another version
	Error                       // wrong; the ticket can not be relied on
)

var severityNames = []string{"", "note", "warning", "error"}

// String is "note", "warning" or "error".
func (s Severity) String() string { return severityNames[s] }

// ParseSeverity reads what String writes.
func ParseSeverity(s string) (Severity, error) {
	if i := slices.Index(severityNames, s); i > 0 {
		return Severity(i), nil
	}
	return 0, fmt.Errorf("%q is not a severity; want note, warning or error", s)
}

// Party is who has to mend a finding.
type Party string

// The parties.
const (
	Sender   Party = "sender"   // who wrote the ticket or message
	Plant    Party = "plant"    // who keeps the plant file, or the machines
	Operator Party = "operator" // who runs the job
)

// The groups of rules. A rule's id is its group, a slash and its slug.
const (
	GroupXML     = "xml"     // the bytes and the XML
	GroupSchema  = "schema"  // structure, as the dictionary has it
	GroupRef     = "ref"     // ids, links and partitions
	GroupProcess = "process" // what the parameters of a process mean together
	GroupPlant   = "plant"   // what the plant can make
	GroupMessage = "message" // messages and the queue
	GroupPack    = "pack"    // packages
	GroupAudit   = "audit"   // what the audits say of the run
	GroupConvert = "convert" // losses of a conversion
	GroupHouse   = "house"   // the house's own rules file, and what it silences
)

// Groups lists the groups in the order in which a ticket is checked.
func Groups() []string {
	return []string{
		GroupXML, GroupSchema, GroupRef, GroupProcess, GroupPlant,
		GroupMessage, GroupPack, GroupAudit, GroupConvert, GroupHouse,
	}
}

// Rule is one thing that can be wrong. Rules are values in the tables of the
// packages that check them; ids are stable and are never given twice.
type Rule struct {
	ID       string // group/slug
	Severity Severity
	Mends    Party

	// Say is the sentence of a finding, in lower case and without full stop.
	// {name} stands for the fact of that name, {name|q} for the fact quoted.
	Say string

	// Do is what to do about it, in the same form; "" when Say leaves no doubt.
	Do string

	// FollowOn marks a rule whose findings only repeat what the schema group
	// has said better, where that has found fault with the same place.
	FollowOn bool

	// Why is the reason, with the place in the standard or in the trade it rests on.
	Why string
}

// Group is the part of the id before the slash.
func (r *Rule) Group() string {
	group, _, _ := strings.Cut(r.ID, "/")
	return group
}

// Fact is a name and a value that a finding rests on, such as the limit and
// what the ticket asks.
type Fact struct {
	Name, Value string
}

// F makes a Fact of any value, in its usual printed form.
func F(name string, value any) Fact {
	if s, ok := value.(string); ok {
		return Fact{name, s}
	}
	return Fact{name, fmt.Sprint(value)}
}

// At makes the finding of the rule at a place.
func (r *Rule) At(place jdf.Place, facts ...Fact) Finding {
	return Finding{Rule: r, Severity: r.Severity, Place: place, Facts: facts}
}

// Related is another place that a finding speaks of.
type Related struct {
	Place jdf.Place
	Say   string // what stands there, such as "defined here"
}

// Finding is one place where a rule is broken. Facts are kept apart from the
// words, which are made when somebody reads them.
type Finding struct {
	Rule     *Rule
	Severity Severity
	Place    jdf.Place
	Facts    []Fact
	Related  []Related
	Silenced *Silence // nil when the finding counts
}

// Silence says why a finding does not count.
type Silence struct {
	Reason string
	Place  jdf.Place // of what asks for it: a line of the house's rules, or an instruction in the ticket
}

// With adds a related place; one that is not known is left out.
func (f Finding) With(place jdf.Place, say string) Finding {
	if place.Known() {
		f.Related = append(slices.Clip(f.Related), Related{place, say})
	}
	return f
}

// Message is the sentence, in lower case and without full stop.
func (f Finding) Message() string { return fill(f.Rule.Say, f.Facts) }

// Advice is what to do about it, or "".
func (f Finding) Advice() string { return fill(f.Rule.Do, f.Facts) }

// Fingerprint stays the same when lines move: sixteen hexadecimal digits made
// of the rule's id, the path and the facts. Files are not part of it.
func (f Finding) Fingerprint() string {
	sum := sha256.New()
	fmt.Fprintf(sum, "%q %q", f.Rule.ID, f.Place.Path())
	for _, fact := range f.Facts {
		fmt.Fprintf(sum, " %q %q", fact.Name, fact.Value)
	}
	return hex.EncodeToString(sum.Sum(nil)[:8])
}

// Compare orders findings by place, then id, then message.
func (f Finding) Compare(g Finding) int {
	return cmp.Or(
		f.Place.Compare(g.Place),
		cmp.Compare(f.Rule.ID, g.Rule.ID),
		cmp.Compare(f.Message(), g.Message()),
	)
}

// fill puts facts into a template. A name without fact stays as written, which
// the tests of each table look for.
func fill(template string, facts []Fact) string {
	var out strings.Builder
	for {
		before, rest, ok := strings.Cut(template, "{")
		out.WriteString(before)
		if !ok {
			return out.String()
		}
		name, after, ok := strings.Cut(rest, "}")
		if !ok {
			out.WriteString("{" + rest)
			return out.String()
		}
		template = after
		name, quoted := strings.CutSuffix(name, "|q")
		i := slices.IndexFunc(facts, func(f Fact) bool { return f.Name == name })
		switch {
		case i < 0:
			out.WriteString("{" + name + "}")
		case quoted:
			fmt.Fprintf(&out, "%q", facts[i].Value)
		default:
			out.WriteString(facts[i].Value)
		}
	}
}

// Choices lists allowed values for a message: sorted, eight at most, and how
// many more there are.
func Choices(values []string) string {
	sorted := slices.Clone(values)
	slices.Sort(sorted)
	sorted = slices.Compact(sorted)
	const most = 8
	if more := len(sorted) - most; more > 0 {
		return strings.Join(sorted[:most], ", ") + fmt.Sprintf(" and %d more", more)
	}
	return strings.Join(sorted, ", ")
}
