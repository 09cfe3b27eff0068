package job

import "quoin/jdf"

// Fact is a value read from a ticket and the place it stands at. The zero Fact
// says that the ticket does not have it.
type Fact[T any] struct {
	Value T
	Place jdf.Place
	Given bool
}

// Of makes a given Fact.
func Of[T any](v T, at jdf.Place) Fact[T] { return Fact[T]{v, at, true} }

// Or is the value, or another where the ticket does not have it.
func (f Fact[T]) Or(other T) T {
	if f.Given {
		return f.Value
	}
	return other
}

// First is the first of several facts that is given.
func First[T any](facts ...Fact[T]) Fact[T] {
	for _, f := range facts {
		if f.Given {
			return f
		}
	}
	return Fact[T]{}
}

// Fault is a value that the Job needs and that is not of the type the standard
// gives it. The Fact it would have filled is not given.
type Fault struct {
	Place jdf.Place
	Name  string // Element/@Attr
	Got   string
	Want  string // such as "a duration such as PT1H30M"
}
