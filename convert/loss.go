package convert

import (
	"iter"

	"quoin/jdf"
	"quoin/validate"
)

// Outcome is what became of a piece of the source.
type Outcome uint8

// The outcomes.
const (
	unset   Outcome = iota
	Lost            // has no place in the target
	Changed         // stands in the target with another name, place or value
	Carried         // stands in the target as it was
)

// String is "carried", "changed" or "lost".
func (o Outcome) String() string { return [...]string{"unset", "lost", "changed", "carried"}[o] }

// Kind is what a piece of the source is.
type Kind uint8

// The kinds of piece.
const (
	Element Kind = iota + 1
	Attribute
	Text
	Remark // an XML comment or processing instruction
)

// String is "element", "attribute", "text" or "remark".
func (k Kind) String() string { return [...]string{"", "element", "attribute", "text", "remark"}[k] }

// Item is one piece of the source with what became of it.
type Item struct {
	Place   jdf.Place
	What    Kind
	Name    string // Element or Element/@Attr
	Outcome Outcome
	Reason  string         // why it was changed or lost
	Rule    *validate.Rule // of the finding; nil when carried
}

// Path names the piece from the root of its document.
func (i Item) Path() string { return i.Place.Path() }

// Finding is the item as a finding of the group convert. What was carried is no
// finding: its Rule is nil.
func (i Item) Finding() validate.Finding {
	return i.Rule.At(i.Place, validate.F("name", i.Name), validate.F("reason", i.Reason))
}

// slot is the state of one piece.
type slot struct {
	refs  int32  // how often it stands in the target
	state uint32 // the outcome in the lowest two bits, and the number of the reason
}

func (s slot) outcome() Outcome { return Outcome(s.state & 3) }

// none is the slot of what has no source.
const none = -1

// ledger keeps book of all pieces of the sources of one conversion.
type ledger struct {
	docs  []*jdf.Document
	first map[*jdf.Document][]int32 // slot of each node, by its index
	slots []slot
	names map[[2]string]string // of attributes, by element and attribute

	reasons []string // each once: there are few, and many pieces
	numbers map[string]uint32
}

func newLedger(docs []*jdf.Document) *ledger {
	l := &ledger{
		docs: docs, first: map[*jdf.Document][]int32{}, names: map[[2]string]string{},
		reasons: []string{""}, numbers: map[string]uint32{"": 0},
	}
	next := int32(0)
	for _, d := range docs {
		if l.first[d] != nil {
			continue
		}
		first := make([]int32, d.Len()+1)
		for i := 1; i <= d.Len(); i++ {
			n := d.Node(i)
			if !n.Valid() {
				continue
			}
			first[i] = next
			next++
			if n.Kind() == jdf.KindElement {
				for range n.Attrs() {
					next++
				}
			}
		}
		l.first[d] = first
	}
	l.slots = make([]slot, next)
	return l
}

// of is the slot of a node; an absent one has none.
func (l *ledger) of(n jdf.Node) int32 {
	if !n.Valid() {
		return none
	}
	return l.first[n.Document()][n.Index()]
}

// attr is the slot of the attribute of a local name without namespace.
func (l *ledger) attr(n jdf.Node, local string) int32 {
	if !n.Valid() {
		return none
	}
	i := l.of(n) + 1
	for a := range n.Attrs() {
		if a.Local() == local && a.Name().Space == "" {
			return i
		}
		i++
	}
	return none
}

// keep notes that a piece stands in the target; why is "" when it is as it was.
func (l *ledger) keep(at int32, why string) {
	if at == none {
		return
	}
	s := &l.slots[at]
	s.refs++
	outcome := Carried
	if why != "" {
		outcome = Changed
	}
	if outcome > s.outcome() {
		l.set(s, outcome, why)
	}
}

// lose notes that a piece is left out here. Where it stands elsewhere, that
// counts; of several reasons the first does.
func (l *ledger) lose(at int32, why string) {
	if at == none {
		return
	}
	if s := &l.slots[at]; s.outcome() == unset {
		l.set(s, Lost, why)
	}
}

// drop takes back a keep: what was put into the target is taken out again.
func (l *ledger) drop(at int32, why string) {
	if at == none {
		return
	}
	s := &l.slots[at]
	if s.refs--; s.refs <= 0 {
		l.set(s, Lost, why)
	}
}

func (l *ledger) set(s *slot, outcome Outcome, why string) {
	n, ok := l.numbers[why]
	if !ok {
		n = uint32(len(l.reasons))
		l.reasons = append(l.reasons, why)
		l.numbers[why] = n
	}
	s.state = uint32(outcome) | n<<2
}

// lost reports whether a piece is lost so far.
func (l *ledger) lost(at int32) bool { return at != none && l.slots[at].outcome() == Lost }

// attrSlot is the slot of an attribute of any namespace.
func (l *ledger) attrSlot(a jdf.Attr) int32 {
	i := l.of(a.Owner()) + 1
	for b := range a.Owner().Attrs() {
		if b == a {
			return i
		}
		i++
	}
	return none
}

// change notes that a piece which stands in the target is written differently.
func (l *ledger) change(at int32, why string) { l.set(&l.slots[at], Changed, why) }

// loseAll notes the loss of an element with all in it that has no outcome yet.
func (l *ledger) loseAll(n jdf.Node, why string) {
	at := l.of(n)
	l.lose(at, why)
	if n.Kind() != jdf.KindElement {
		return
	}
	for range n.Attrs() {
		at++
		l.lose(at, why)
	}
	for c := range n.Content() {
		l.loseAll(c, why)
	}
}

// open reports whether a piece has no outcome yet.
func (l *ledger) open(at int32) bool { return l.slots[at].outcome() == unset }

// items walks the pieces in the order of the sources, those that were carried
// only when asked.
func (l *ledger) items(carried bool) iter.Seq[Item] {
	return func(yield func(Item) bool) {
		for _, d := range l.docs {
			for i := 1; i <= d.Len(); i++ {
				n := d.Node(i)
				if n.Valid() && !l.node(n, carried, yield) {
					return
				}
			}
		}
	}
}

func (l *ledger) node(n jdf.Node, carried bool, yield func(Item) bool) bool {
	at, owner := l.of(n), n.Local()
	wanted := func() bool { return carried || l.slots[at].outcome() != Carried }
	item := Item{Place: n.Place(), What: Element, Name: owner}
	switch n.Kind() {
	case jdf.KindText, jdf.KindCDATA:
		item.What, item.Name = Text, n.Parent().Local()
	case jdf.KindComment, jdf.KindInstruction:
		item.What, item.Name = Remark, "comment"
	}
	if wanted() && !yield(l.fill(item, at)) {
		return false
	}
	if n.Kind() != jdf.KindElement {
		return true
	}
	for a := range n.Attrs() {
		at++
		if !wanted() {
			continue
		}
		name, ok := l.names[[2]string{owner, a.Local()}]
		if !ok {
			name = owner + "/@" + a.Local()
			l.names[[2]string{owner, a.Local()}] = name
		}
		if !yield(l.fill(Item{Place: a.Place(), What: Attribute, Name: name}, at)) {
			return false
		}
	}
	return true
}

func (l *ledger) fill(i Item, at int32) Item {
	s := l.slots[at]
	i.Outcome, i.Reason = s.outcome(), l.reasons[s.state>>2]
	switch i.Outcome {
	case Changed:
		i.Rule = changed
	case Lost, unset:
		i.Outcome = Lost
		i.Rule = lostOf(i.What)
		switch {
		case i.Reason != "":
		case i.What == Remark:
			i.Reason = remarkLost
		default:
			i.Reason = notReached
		}
	}
	return i
}

// notReached is the reason of a piece that no step of the conversion looked at.
const notReached = "it stands where nothing is expected"
