package plant

import (
	"strings"

	"github.com/shopspring/decimal"
	"go.yaml.in/yaml/v3"

	"quoin/validate"
)

// above is the key of the last step of a table, and upTo begins the others.
const (
	above = "above"
	upTo  = "up to "
)

// steps is a table of steps, or one value for all inputs. Inputs are in the
// dimension given, values of the kind.
func steps(input string, d dimension, of kind[decimal.Decimal]) kind[[]Step] {
	form := of.form + ", or a table with \"" + upTo + input + "\" and \"" + above + "\""
	return kind[[]Step]{form, outline{table: true}, func(r *reader, n *yaml.Node, path string) ([]Step, bool) {
		target, ok := r.enter(n, path)
		switch {
		case !ok:
			return nil, false
		case target.Kind == yaml.SequenceNode:
			r.report(wrongType, target, path, validate.F("got", "a list"), validate.F("want", form))
			return nil, false
		case target.Kind != yaml.MappingNode:
			v, ok := of.read(r, target, path)
			return []Step{{Value: v}}, ok
		}
		return readSteps(r, target, path, d, of)
	}}
}

func readSteps(r *reader, n *yaml.Node, path string, d dimension, of kind[decimal.Decimal]) ([]Step, bool) {
	var table []Step
	good, last := true, decimal.Zero
	wrong := func(at *yaml.Node, key, problem string) {
		r.report(stepOrder, at, join(path, clip(key)), validate.F("problem", problem))
		good = false
	}
	for i := 0; i+1 < len(n.Content); i += 2 {
		name, value := n.Content[i], n.Content[i+1]
		limit, bad := stepLimit(name, d)
		switch {
		case bad != nil:
			wrong(name, name.Value, bad.problem)
			continue
		case len(table) > 0 && table[len(table)-1].UpTo.IsZero():
			wrong(name, name.Value, "it stands behind \"above\", which takes all inputs already")
		case !limit.IsZero() && limit.LessThanOrEqual(last):
			wrong(name, name.Value, "the limit is not over that of the step before, "+last.String())
		}
		v, ok := of.read(r, value, join(path, name.Value))
		good = good && ok
		last = limit
		table = append(table, Step{limit, v})
	}
	if good && (len(table) == 0 || !table[len(table)-1].UpTo.IsZero()) {
		wrong(n, above, "the table has no step for all inputs over the last limit")
	}
	return table, good
}

// stepLimit reads the key of a step; zero stands for "above".
func stepLimit(name *yaml.Node, d dimension) (decimal.Decimal, *fault) {
	if name.Kind == yaml.ScalarNode && name.Value == above {
		return decimal.Zero, nil
	}
	limit, ok := strings.CutPrefix(name.Value, upTo)
	if !ok {
		return decimal.Zero, badValue("a step begins with \"up to\" and a limit, or is \"above\"")
	}
	n, bad := d.read(limit)
	if bad == nil && n.IsZero() {
		bad = badSense("a limit of zero takes no input")
	}
	return n, bad
}
