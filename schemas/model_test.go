package schemas

import (
	"math/rand/v2"
	"testing"

	"github.com/stretchr/testify/require"
)

// run feeds child names to a model.
func run(m *Model, names ...string) bool {
	var s State
	for _, n := range names {
		symbol := m.Foreign()
		if n != "*" {
			symbol, _ = m.Child(n)
		}
		if symbol < 0 {
			return false
		}
		var ok bool
		if s, ok = m.Next(s, symbol); !ok {
			return false
		}
	}
	return m.Accepts(s)
}

func TestModelSequence(t *testing.T) {
	m := XJDF().Element("Resource").Type().Model()
	require.False(t, m.Free())
	require.True(t, run(m))
	require.True(t, run(m, "AmountPool", "Comment", "Comment", "Part", "Media", "*", "*"))
	require.False(t, run(m, "Media", "Part"), "order")
	require.False(t, run(m, "AmountPool", "AmountPool"), "twice")
	require.False(t, run(m, "Media", "Ink"), "two of a substitution group")
	require.False(t, run(m, "Header"), "not in the model")
	part, _ := m.Child("Part")
	require.Equal(t, Bound{0, Unbounded}, m.Bound(part))
	head, e := m.Child("Media")
	require.Equal(t, "Media", e.Name())
	require.Equal(t, "SpecificResource", m.Names()[head])
	require.Equal(t, Bound{0, 1}, m.Bound(head))
}

func TestModelChoice(t *testing.T) {
	m := XJDF().Element("PlacedObject").Type().Model()
	require.True(t, run(m, "ContentObject", "PageCondition"))
	require.True(t, run(m, "MarkObject"))
	require.False(t, run(m))
	require.False(t, run(m, "ContentObject", "MarkObject"))
	x := XJDF().Element("XJMF").Type().Model()
	require.True(t, run(x, "Header", "QueryStatus", "*", "QueryResource"), "members of members of a group")
	require.True(t, run(x, "Header", "*"))
	require.False(t, run(x, "Header"))
	cut := XJDF().Type("CuttingParams").Model()
	require.True(t, run(cut, "Cut", "Cut"))
	require.False(t, run(cut, "Cut", "CutBlock"))
}

func TestModelFree(t *testing.T) {
	m := JDF().Type("ResourcePool_").Model()
	require.True(t, m.Free())
	require.True(t, run(m, "Media", "Component", "*", "Media", "Comment"))
	require.False(t, run(m, "MediaLink"))
	_, preview := m.Child("Preview")
	require.Equal(t, "Preview_re", preview.Type().Name(),
		"a name that stands in the model goes before a member of a group")
	p := JDF().Type("PartAmount").Model()
	require.False(t, p.Free())
	require.True(t, run(p))
	require.True(t, run(p, "Comment", "Lot", "Part", "Part", "Lot", "Part"))
	require.False(t, run(p, "Lot"), "a Part must follow")
	empty := XJDF().Element("Part").Type().Model()
	require.True(t, empty.Empty())
	require.True(t, run(empty))
}

// words lists all words of an expression up to a length, straight from what its
// operators mean.
func words(e *expr, most int) map[string]bool {
	out := map[string]bool{}
	switch e.op {
	case opSymbol:
		for _, s := range e.symbols {
			out[string(rune('a'+s))] = true
		}
	case opChoice:
		for _, k := range e.kids {
			for w := range words(k, most) {
				out[w] = true
			}
		}
	case opSeq:
		out[""] = true
		for _, k := range e.kids {
			out = join(out, words(k, most), most)
		}
	case opRepeat:
		once := words(e.kids[0], most)
		sum := map[string]bool{"": true}
		for i := 0; i <= most+e.min; i++ {
			if i >= e.min {
				for w := range sum {
					out[w] = true
				}
			}
			if i == e.max {
				break
			}
			sum = join(sum, once, most)
		}
	}
	return out
}

func join(a, b map[string]bool, most int) map[string]bool {
	out := map[string]bool{}
	for x := range a {
		for y := range b {
			if len(x)+len(y) <= most {
				out[x+y] = true
			}
		}
	}
	return out
}

func randomExpr(r *rand.Rand, depth int) *expr {
	if depth == 0 || r.IntN(4) == 0 {
		return &expr{op: opSymbol, symbols: []int{r.IntN(3)}}
	}
	switch r.IntN(3) {
	case 0:
		least := r.IntN(3)
		return repeat(randomExpr(r, depth-1), least, []int{Unbounded, max(least, 1), least + 1, least + 2}[r.IntN(4)])
	case 1:
		return &expr{op: opChoice, kids: []*expr{randomExpr(r, depth-1), randomExpr(r, depth-1)}}
	}
	e := &expr{op: opSeq}
	for range r.IntN(4) {
		e.kids = append(e.kids, randomExpr(r, depth-1))
	}
	return e
}

// The automaton takes exactly the words that the operators give, and what is
// called free takes all of them.
func TestAutomaton(t *testing.T) {
	const most = 4
	r := rand.New(rand.NewPCG(4, 2))
	free := 0
	for range 2000 {
		e := randomExpr(r, 3)
		want := words(e, most)
		a := compile(e, 3)
		var try func(word string, state int16)
		try = func(word string, state int16) {
			accepted := state != dead && a.accept[state]
			require.Equal(t, want[word], accepted, "%q", word)
			if len(word) == most {
				return
			}
			for s := range 3 {
				next := int16(dead)
				if state != dead {
					next = a.next[int(state)*3+s]
				}
				try(word+string(rune('a'+s)), next)
			}
		}
		try("", 0)
		if f, n := e.free(3); f && n > 0 {
			free++
			all := words(&expr{op: opRepeat, max: Unbounded, kids: []*expr{{op: opSymbol, symbols: symbolsOf(e)}}}, most)
			require.Equal(t, all, want)
		}
		for s := range 3 {
			checkBound(t, e.bound(s), want, rune('a'+s), most)
		}
	}
	require.Greater(t, free, 20)
}

func symbolsOf(e *expr) []int {
	var out []int
	for s := range 3 {
		if e.all(3).has(s) {
			out = append(out, s)
		}
	}
	return out
}

// checkBound tells that no word breaks a bound.
func checkBound(t *testing.T, b Bound, words map[string]bool, symbol rune, most int) {
	t.Helper()
	for w := range words {
		n := 0
		for _, c := range w {
			if c == symbol {
				n++
			}
		}
		require.GreaterOrEqual(t, n, b.Min, "%q", w)
		if b.Max != Unbounded {
			require.LessOrEqual(t, n, b.Max, "%q", w)
		}
	}
}
