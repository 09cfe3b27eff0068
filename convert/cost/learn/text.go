package learn

import (
	"bytes"
	"errors"
	"fmt"
	"math"
	"slices"
	"strings"
	"unicode/utf8"

	"github.com/shopspring/decimal"
	"go.yaml.in/yaml/v3"

	"quoin/validate/plant"
)

// text is a plant file as it is written.
type text struct {
	path    string
	src     []byte
	root    *yaml.Node
	lines   [][]byte // without their ends
	entries map[string]*yaml.Node
	devices []string // in the order of the file
	bad     error
}

func newText(path string, src []byte) *text {
	t := &text{path: path, src: src, entries: map[string]*yaml.Node{}, lines: bytes.Split(src, []byte("\n"))}
	var doc yaml.Node
	if err := yaml.Unmarshal(src, &doc); err != nil {
		t.bad = fmt.Errorf("read plant file %q: %w", path, err)
		return t
	}
	if len(doc.Content) != 1 || doc.Content[0].Kind != yaml.MappingNode {
		t.bad = fmt.Errorf("read plant file %q: it holds no keys", path)
		return t
	}
	t.root = doc.Content[0]
	for i := 1; i < len(t.root.Content); i += 2 {
		switch t.root.Content[i-1].Value {
		case "cost centres", "stocks", "inks":
			continue
		}
		if t.root.Content[i].Kind != yaml.SequenceNode {
			continue
		}
		for _, entry := range t.root.Content[i].Content {
			if id := value(entry, "id"); id != nil && id.Kind == yaml.ScalarNode && t.entries[id.Value] == nil {
				t.entries[id.Value] = entry
				t.devices = append(t.devices, id.Value)
			}
		}
	}
	return t
}

func (t *text) has(device string) bool { return t.entries[device] != nil }

// value is what a mapping has under a key, or nil.
func value(n *yaml.Node, key string) *yaml.Node {
	if n == nil || n.Kind != yaml.MappingNode {
		return nil
	}
	for i := 0; i+1 < len(n.Content); i += 2 {
		if n.Content[i].Value == key {
			return n.Content[i+1]
		}
	}
	return nil
}

// step is a row of a table.
type step struct {
	key  string
	upTo decimal.Decimal // zero for all above
	node *yaml.Node
}

// steps are the rows of a table of a device, none where it is a plain figure.
func (t *text) steps(device, key string) []step {
	table := value(t.entries[device], key)
	if table == nil || table.Kind != yaml.MappingNode {
		return nil
	}
	var all []step
	for i := 0; i+1 < len(table.Content); i += 2 {
		s := step{key: table.Content[i].Value, node: table.Content[i+1]}
		s.upTo, _ = limit(s.key)
		all = append(all, s)
	}
	return all
}

// figure is a scalar that a quantity depends on.
type figure struct {
	node    *yaml.Node
	key     string
	inverse bool // it falls where the quantity grows, as a speed does
	whole   bool // it takes whole numbers only
}

// figuresOf are the scalars of a device that a quantity is reckoned from.
func (t *text) figuresOf(device string, q Quantity, band string) []figure {
	entry := t.entries[device]
	var all []figure
	add := func(n *yaml.Node, key string, inverse, whole bool) {
		switch {
		case n == nil:
		case n.Kind == yaml.ScalarNode:
			all = append(all, figure{n, key, inverse, whole})
		case n.Kind == yaml.MappingNode:
			for i := 0; i+1 < len(n.Content); i += 2 {
				if n.Content[i+1].Kind == yaml.ScalarNode && (band == "" || n.Content[i].Value == band) {
					all = append(all, figure{n.Content[i+1], key + " / " + n.Content[i].Value, inverse, whole})
				}
			}
		}
	}
	waste := value(entry, "waste")
	switch q {
	case Makeready:
		for _, key := range []string{"makeready", "plate change", "coating makeready", "setup", "setup per fold",
			"setup per pocket", "setup per station"} {
			add(value(entry, key), key, false, false)
		}
		if tasks := value(entry, "makeready tasks"); tasks != nil && tasks.Kind == yaml.SequenceNode {
			for _, task := range tasks.Content {
				add(value(task, "time"), "makeready tasks", false, false)
			}
		}
	case Run:
		for _, key := range []string{"speed", "duplex speed"} {
			add(value(entry, key), key, true, false)
		}
		for _, key := range []string{"load", "cut", "time"} {
			add(value(entry, key), key, false, false)
		}
	case WashUp:
		add(value(entry, "wash-up"), "wash-up", false, false)
		add(value(entry, "colour wash-up"), "colour wash-up", false, false)
	case Setup:
		add(value(waste, "setup"), "waste / setup", false, true)
		add(value(waste, "setup per unit"), "waste / setup per unit", false, true)
		add(value(entry, "coating waste"), "coating waste", false, true)
		add(value(value(entry, "perfecting"), "setup"), "perfecting / setup", false, true)
	case Running:
		add(value(waste, "running"), "waste / running", false, false)
	}
	return all
}

func trimUpTo(band string) string { return strings.TrimSpace(strings.TrimPrefix(band, "up to")) }

// number is the digits that a text begins with, and the rest.
func number(s string) (digits, rest string) {
	end := 0
	for end < len(s) && (s[end] >= '0' && s[end] <= '9' || s[end] == '.') {
		end++
	}
	return s[:end], s[end:]
}

// scaled is a figure times a factor, in its own unit, with three significant
// digits or whole; the same text where nothing changes.
func scaled(old string, factor float64, whole bool) (string, error) {
	digits, rest := number(old)
	v, err := decimal.NewFromString(digits)
	if err != nil || len(digits) > 15 {
		return "", fmt.Errorf("%q does not begin with a number", old)
	}
	next := v.InexactFloat64() * factor
	if v.IsZero() || !(next > 0) || math.IsInf(next, 0) {
		return old, nil
	}
	places := 2 - int(math.Floor(math.Log10(next)))
	if places = min(places, 4); whole {
		places = min(places, 0)
		if next < 100 {
			places = 0
		}
	}
	rounded := decimal.NewFromFloat(next).Round(int32(places))
	if rounded.Equal(v) || !rounded.IsPositive() {
		return old, nil
	}
	return rounded.String() + rest, nil
}

// edit is a new text for a scalar.
type edit struct {
	node *yaml.Node
	to   string
	note string // for the line
}

// apply puts edits at their places, with their notes at the ends of the lines,
// and changes nothing else. It refuses what it can not be sure of.
func (t *text) apply(edits []edit) ([]byte, error) {
	slices.SortStableFunc(edits, func(a, b edit) int {
		if a.node.Line != b.node.Line {
			return a.node.Line - b.node.Line
		}
		return b.node.Column - a.node.Column // from the end of a line, so that columns stay true
	})
	lines := slices.Clone(t.lines)
	for i, e := range edits {
		n := e.node
		if n.Line < 1 || n.Line > len(lines) || n.Style != 0 && n.Style != yaml.TaggedStyle || n.Anchor != "" {
			return nil, fmt.Errorf("%s:%d: %q is not written plainly, and is left to you", t.path, n.Line, n.Value)
		}
		line := lines[n.Line-1]
		at := offset(line, n.Column)
		if at < 0 || !bytes.HasPrefix(line[at:], []byte(n.Value)) || n.Value == "" {
			return nil, fmt.Errorf("%s:%d: %q is not written on one line, and is left to you", t.path, n.Line, n.Value)
		}
		next := slices.Concat(line[:at], []byte(e.to), line[at+len(n.Value):])
		if i+1 == len(edits) || edits[i+1].node.Line != n.Line {
			body, end := bytes.TrimSuffix(next, []byte("\r")), ""
			if len(body) < len(next) {
				end = "\r"
			}
			sign := " # "
			if bytes.Contains(body, []byte(" # ")) {
				sign = "; " // behind what is said there already
			}
			next = slices.Concat(body, []byte(sign+e.note+end))
		}
		lines[n.Line-1] = next
	}
	out := bytes.Join(lines, []byte("\n"))
	return out, t.check(out, edits)
}

// offset is the byte at a column, which counts code points from 1; -1 for none.
func offset(line []byte, column int) int {
	at := 0
	for range column - 1 {
		if at >= len(line) {
			return -1
		}
		_, size := utf8.DecodeRune(line[at:])
		at += size
	}
	return at
}

// check reads an edited text again: it has to say the same but for the edits.
func (t *text) check(out []byte, edits []edit) error {
	var doc yaml.Node
	if err := yaml.Unmarshal(out, &doc); err != nil || len(doc.Content) != 1 {
		return errors.Join(fmt.Errorf("%s: the change would break the file, and is left to you", t.path), err)
	}
	wanted := map[*yaml.Node]string{}
	for _, e := range edits {
		wanted[e.node] = e.to
	}
	if !same(t.root, doc.Content[0], wanted) {
		return fmt.Errorf("%s: the change would reach beyond its figures, and is left to you", t.path)
	}
	return nil
}

func same(a, b *yaml.Node, wanted map[*yaml.Node]string) bool {
	want, edited := wanted[a]
	if !edited {
		want = a.Value
	}
	if a.Kind != b.Kind || b.Value != want || len(a.Content) != len(b.Content) {
		return false
	}
	for i := range a.Content {
		if !same(a.Content[i], b.Content[i], wanted) {
			return false
		}
	}
	return true
}

// Change is one figure of the plant file.
type Change struct {
	Key  string `json:"key"`
	Line int    `json:"line"`
	From string `json:"from"`
	To   string `json:"to"`
}

// propose writes the plant file that follows from the findings.
func (s *study) propose(p *plant.Plant) error {
	t := s.plant
	var edits []edit
	for _, f := range s.lesson.Findings {
		if f.Factor == 0 {
			continue
		}
		note := fmt.Sprintf("learned from %d jobs: %.2f times as planned, %.2f to %.2f",
			f.Jobs, f.Estimate.Middle, f.Estimate.Low, f.Estimate.High)
		for _, fig := range t.figuresOf(f.Device, f.Quantity, f.Band) {
			factor := f.Factor
			if fig.inverse {
				factor = 1 / factor
			}
			to, err := scaled(fig.node.Value, factor, fig.whole)
			if err != nil {
				return fmt.Errorf("%s:%d: %w", t.path, fig.node.Line, err)
			}
			if to != fig.node.Value {
				edits = append(edits, edit{fig.node, to, note})
				f.Changes = append(f.Changes, Change{fig.key, fig.node.Line, fig.node.Value, to})
			}
		}
		if len(f.Changes) == 0 {
			f.Factor, f.Why = 0, "kept: rounded, the figure stays what it is"
		}
	}
	if len(edits) == 0 {
		return nil
	}
	out, err := t.apply(edits)
	if err != nil {
		return err
	}
	if _, wrong := plant.Load(t.path, out); len(wrong) > 0 {
		return fmt.Errorf("the proposed plant file would not do: %s", wrong[0].Message())
	}
	s.lesson.Proposed, s.lesson.Diff = out, diff(t.path, t.src, out)
	return nil
}
