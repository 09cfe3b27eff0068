package job

import (
	"github.com/shopspring/decimal"

	"quoin/jdf"
)

// linkAmounts reads what a JDF resource link, or the resource itself, asks for.
func linkAmounts(link jdf.Node, fault report) *Amounts {
	a := Amounts{
		Good: number(link, "Amount", fault),
		Min:  number(link, "MinAmount", fault),
		Max:  number(link, "MaxAmount", fault),
	}
	pool := poolAmounts(link, "Amount", fault)
	if !a.Good.Given {
		a.Good = pool.Good
	}
	a.Waste = pool.Waste
	a.Min, a.Max = First(a.Min, pool.Min), First(a.Max, pool.Max)
	return a.shared()
}

// noAmounts is shared by all that ask for no amount; nobody writes to it.
var noAmounts = &Amounts{}

// shared gives the amounts to be pointed to. Most resources have none, and need
// no room for them.
func (a Amounts) shared() *Amounts {
	if a == (Amounts{}) {
		return noAmounts
	}
	kept := a // here, so that no room is taken before
	return &kept
}

// poolAmounts adds up the AmountPool of a JDF link or an XJDF Resource. JDF
// tells good from waste by the partition key Condition, of which all values but
// Good name some kind of waste; XJDF has an attribute.
func poolAmounts(n jdf.Node, amount string, fault report) Amounts {
	var sum Amounts
	for p := range n.Child("AmountPool").ChildrenNamed("PartAmount") {
		good := number(p, amount, fault)
		if condition := partOf(p).Get("Condition"); condition != "" && condition != "Good" {
			sum.Waste = plus(sum.Waste, good)
		} else {
			sum.Good = plus(sum.Good, good)
		}
		sum.Waste = plus(sum.Waste, number(p, "Waste", fault))
		sum.Min = plus(sum.Min, number(p, "MinAmount", fault))
		sum.Max = plus(sum.Max, number(p, "MaxAmount", fault))
	}
	return sum
}

// plus adds facts; the sum keeps the place of the first.
func plus(a, b Fact[decimal.Decimal]) Fact[decimal.Decimal] {
	switch {
	case !b.Given:
		return a
	case !a.Given:
		return b
	}
	a.Value = a.Value.Add(b.Value)
	return a
}

// or fills in what is not given from what the resource itself says.
func (a *Amounts) or(b *Amounts) *Amounts {
	good, waste := First(a.Good, b.Good), First(a.Waste, b.Waste)
	if good.Given == a.Good.Given && waste.Given == a.Waste.Given {
		return a
	}
	return &Amounts{Good: good, Waste: waste, Min: a.Min, Max: a.Max}
}
