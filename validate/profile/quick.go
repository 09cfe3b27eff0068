package profile

import (
	"regexp"
	"strings"
	"sync"

	"quoin/jdf"
)

// attrTest is a condition on one attribute without namespace: that it is
// there, or that it has a value.
type attrTest struct {
	name, value string
	there       bool // whatever the value
}

const quickTest = `boolean\(attribute::([\w-]+)\)|attribute::([\w-]+) = ("[^"]*"|'[^']*')`

// quick holds a test, and an expression of nothing but such tests. They are
// compiled when they are asked for: most runs have no profile.
var quick = sync.OnceValue(func() (e struct{ test, whole *regexp.Regexp }) {
	e.test = regexp.MustCompile(quickTest)
	e.whole = regexp.MustCompile(`^(?:` + quickTest + `)(?: and (?:` + quickTest + `))*$`)
	return e
})

// quickTests finds the tests of an expression, in the library's words, that
// asks for nothing but attributes of the element and their values, as most
// brackets do. They are answered without the library, which is much faster. It
// is nil for other expressions.
func quickTests(expression string) []attrTest {
	if !quick().whole.MatchString(expression) {
		return nil
	}
	var tests []attrTest
	for _, m := range quick().test.FindAllStringSubmatch(expression, -1) {
		if m[1] != "" {
			tests = append(tests, attrTest{name: m[1], there: true})
			continue
		}
		tests = append(tests, attrTest{name: m[2], value: strings.Trim(m[3], m[3][:1])})
	}
	return tests
}

func allHold(tests []attrTest, n jdf.Node) bool {
	for _, t := range tests {
		a := n.Attr(t.name)
		if !a.Valid() || !t.there && a.Value() != t.value {
			return false
		}
	}
	return true
}
