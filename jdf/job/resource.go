package job

import (
	"strings"

	"quoin/jdf"
)

// resource is a JDF resource taken apart once, with its leaves sorted by each
// partition key that a link has asked for. Without that, many links into a
// resource of many parts would cost the product of both.
type resource struct {
	leaves []leaf
	keys   []string
	byKey  map[string]map[string][]leaf // by key and value; "" holds leaves without the key
}

func (d *decoder) resource(n jdf.Node) *resource {
	r := d.resources[n.Index()]
	if r == nil {
		r = &resource{leaves: leaves(n), keys: strings.Fields(n.Get("PartIDKeys")), byKey: map[string]map[string][]leaf{}}
		if d.resources == nil {
			d.resources = map[int]*resource{}
		}
		d.resources[n.Index()] = r
	}
	return r
}

// selected lists the leaves that a part means, in document order.
func (r *resource) selected(part Part) []leaf {
	if part.Empty() {
		return r.leaves
	}
	candidates := r.leaves
	for _, key := range r.keys {
		if value, ok := part.Lookup(key); ok {
			sorted := r.sorted(key)
			candidates = sorted[value]
			if len(candidates) == 0 || value == "" {
				candidates = sorted[""]
			}
			break
		}
	}
	var chosen []leaf
	for _, l := range candidates {
		if l.part.Meets(part) {
			chosen = append(chosen, l)
		}
	}
	return chosen
}

func (r *resource) sorted(key string) map[string][]leaf {
	if m, ok := r.byKey[key]; ok {
		return m
	}
	m := map[string][]leaf{}
	for _, l := range r.leaves {
		own := l.part.Get(key)
		m[own] = append(m[own], l)
	}
	// A leaf that leaves the key out is meant whatever the link says of it.
	if open := m[""]; len(open) > 0 {
		for value := range m {
			m[value] = nil
		}
		for _, l := range r.leaves {
			own, has := l.part.Lookup(key)
			for value := range m {
				if !has || own == value {
					m[value] = append(m[value], l)
				}
			}
		}
	}
	r.byKey[key] = m
	return m
}
