package diff

import (
	"fmt"

	"quoin/jdf/job"
)

// products compares the products of two jobs, parts after what they are part of.
func (d *differ) products(a, b *job.Job) {
	left, right := flatten(a), flatten(b)
	same := pairs(len(left), len(right), func(i, j int) int {
		p, q := left[i], right[j]
		switch {
		case p.ID.Given && q.ID.Given && p.ID.Value == q.ID.Value && !d.mixed:
			return 4
		case p.Name.Given && p.Name.Value == q.Name.Value:
			return 3
		case kindOf(p) != "" && kindOf(p) == kindOf(q):
			return 2
		case p.Root == q.Root:
			return 1
		}
		return 0
	})
	for i, p := range left {
		where := productName(p, i, len(left))
		if j, ok := same[i]; ok {
			d.facts(where, productFacts(p), productFacts(right[j]))
			continue
		}
		d.add(Change{Kind: Removed, Area: AreaProduct, Where: where, FromPlace: p.Node.NamePlace()})
	}
	taken := taken(same)
	for j, q := range right {
		if !taken[j] {
			d.add(Change{Kind: Added, Area: AreaProduct, Where: productName(q, j, len(right)), ToPlace: q.Node.NamePlace()})
		}
	}
}

// kindOf is the type of a product, where that tells it from others.
func kindOf(p *job.Product) string {
	switch p.Type.Value {
	case "FinalProduct", "PartialProduct":
		return ""
	}
	return p.Type.Value
}

// flatten lists products, each once, outer ones first.
func flatten(j *job.Job) []*job.Product {
	var all []*job.Product
	seen := map[*job.Product]bool{}
	var visit func(p *job.Product)
	visit = func(p *job.Product) {
		if seen[p] {
			return
		}
		seen[p] = true
		all = append(all, p)
		for _, c := range p.Parts {
			visit(c)
		}
	}
	for _, p := range j.RootProducts() {
		visit(p)
	}
	for _, p := range j.Products {
		visit(p)
	}
	return all
}

func productName(p *job.Product, i, n int) string {
	name := p.Name.Or(kindOf(p))
	switch {
	case name != "":
		return fmt.Sprintf("product %q", name)
	case n == 1:
		return "product"
	}
	return fmt.Sprintf("product %d", i+1)
}

// steps compares the processes of two jobs in their order.
func (d *differ) steps(a, b *job.Job) {
	left, right := a.Operations, b.Operations
	same := pairs(len(left), len(right), func(i, j int) int {
		if left[i].Type != right[j].Type {
			return 0
		}
		if left[i].PartID.Value == right[j].PartID.Value {
			return 2
		}
		return 1
	})
	for i, op := range left {
		where := stepName(op, left)
		if j, ok := same[i]; ok {
			d.facts(where, stepFacts(op, a), stepFacts(right[j], b))
			continue
		}
		d.add(Change{Kind: Removed, Area: AreaStep, Where: where, FromPlace: op.TypeAt})
	}
	taken := taken(same)
	for j, op := range right {
		if !taken[j] {
			d.add(Change{Kind: Added, Area: AreaStep, Where: stepName(op, right), ToPlace: op.TypeAt})
		}
	}
}

// stepName names a step by its process, and by its part where several are alike.
func stepName(op *job.Operation, all []*job.Operation) string {
	alike := 0
	for _, o := range all {
		if o.Type == op.Type {
			alike++
		}
	}
	if alike > 1 && op.PartID.Given {
		return "step " + op.Type + " " + op.PartID.Value
	}
	return "step " + op.Type
}

func taken(same map[int]int) map[int]bool {
	t := map[int]bool{}
	for _, j := range same {
		t[j] = true
	}
	return t
}

// most bounds the table of an alignment: longer lists are paired in order.
const most = 2000

// pairs aligns two lists so that the sum of the scores is greatest and the order
// is kept. A score of 0 never pairs.
func pairs(n, m int, score func(i, j int) int) map[int]int {
	out := map[int]int{}
	if n > most || m > most {
		for i := range min(n, m) {
			if score(i, i) > 0 {
				out[i] = i
			}
		}
		return out
	}
	best := make([][]int32, n+1)
	for i := range best {
		best[i] = make([]int32, m+1)
	}
	for i := n - 1; i >= 0; i-- {
		for j := m - 1; j >= 0; j-- {
			best[i][j] = max(best[i+1][j], best[i][j+1])
			if s := score(i, j); s > 0 {
				best[i][j] = max(best[i][j], best[i+1][j+1]+int32(s))
			}
		}
	}
	for i, j := 0, 0; i < n && j < m; {
		s := score(i, j)
		switch {
		case s > 0 && best[i][j] == best[i+1][j+1]+int32(s):
			out[i] = j
			i, j = i+1, j+1
		case best[i][j] == best[i+1][j]:
			i++
		default:
			j++
		}
	}
	return out
}
