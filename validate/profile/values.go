package profile

import (
	"slices"
	"strings"

	"quoin/jdf"
	"quoin/validate"
)

// values checks the values of attributes. One that is not there has none.
func (r *run) values(c *clause, n jdf.Node) error {
	for _, group := range []struct {
		tests []valueTest
		test  func(t valueTest, words []string) (want, near string)
	}{{c.allow, allowed}, {c.refuse, refused}, {c.contain, contained}} {
		for _, t := range group.tests {
			places, values, err := r.places(t.item, n)
			if err != nil {
				return err
			}
			for i, value := range values {
				want, near := group.test(t, t.words(value))
				if want == "" {
					continue
				}
				facts := []validate.Fact{validate.F("item", t.label(n)), validate.F("got", value), validate.F("want", want)}
				if near != "" && c.do == "" {
					facts = append(facts, validate.F("do", "write "+near))
				}
				r.found(c, wrongValue, places[i], t.place, facts...)
			}
		}
	}
	return nil
}

// seenKey is a value of one of the unique attributes of a clause.
type seenKey struct {
	item  int
	value string
}

// repeats finds values that were given before.
func (r *run) repeats(c *clause, n jdf.Node, seen map[seenKey]jdf.Place) error {
	for i, u := range c.unique {
		places, values, err := r.places(u, n)
		if err != nil {
			return err
		}
		for k, value := range values {
			key := seenKey{i, value}
			first, again := seen[key]
			if !again {
				seen[key] = places[k]
				continue
			}
			f := r.finding(c, twice, places[k], validate.F("item", u.label(n)), validate.F("got", value))
			r.report(f.With(u.place, "the profile asks for it here").With(first, "it is given first here"))
		}
	}
	return nil
}

// label names the attribute with its element.
func (i item) label(n jdf.Node) string {
	if len(i.steps) == 0 {
		return n.Local() + "/" + i.source
	}
	return i.source
}

// words are the values to be tested: those of a list one by one.
func (t valueTest) words(value string) []string {
	if t.list {
		return strings.Fields(value)
	}
	return []string{strings.TrimSpace(value)}
}

func allowed(t valueTest, words []string) (want, near string) {
	for _, w := range words {
		if !slices.Contains(t.values, w) {
			return validate.Choices(t.values), validate.Nearest(w, t.values)
		}
	}
	return "", ""
}

func refused(t valueTest, words []string) (want, near string) {
	if overlap(words, t.values) {
		return "any but " + validate.Choices(t.values), ""
	}
	return "", ""
}

func contained(t valueTest, words []string) (want, near string) {
	var absent []string
	for _, v := range t.values {
		if !slices.Contains(words, v) {
			absent = append(absent, v)
		}
	}
	if len(absent) == 0 {
		return "", ""
	}
	return validate.Choices(absent) + " in it", ""
}
