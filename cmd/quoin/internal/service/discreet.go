package service

import (
	"context"
	"log/slog"

	"quoin/cmd/quoin/internal/works"
)

// discreet is a log that says no address with its user and password, whoever writes
// to it and in whatever error it stands.
type discreet struct{ to slog.Handler }

func (d discreet) Enabled(ctx context.Context, l slog.Level) bool { return d.to.Enabled(ctx, l) }

func (d discreet) Handle(ctx context.Context, r slog.Record) error {
	out := slog.NewRecord(r.Time, r.Level, works.Scrub(r.Message), r.PC)
	r.Attrs(func(a slog.Attr) bool {
		out.AddAttrs(scrubbed(a))
		return true
	})
	return d.to.Handle(ctx, out)
}

func (d discreet) WithAttrs(all []slog.Attr) slog.Handler {
	clean := make([]slog.Attr, len(all))
	for i, a := range all {
		clean[i] = scrubbed(a)
	}
	return discreet{d.to.WithAttrs(clean)}
}

func (d discreet) WithGroup(name string) slog.Handler { return discreet{d.to.WithGroup(name)} }

// scrubbed is an attribute with bare addresses.
func scrubbed(a slog.Attr) slog.Attr {
	a.Value = a.Value.Resolve()
	switch a.Value.Kind() {
	case slog.KindString:
		a.Value = slog.StringValue(works.Scrub(a.Value.String()))
	case slog.KindGroup:
		var clean []slog.Attr
		for _, one := range a.Value.Group() {
			clean = append(clean, scrubbed(one))
		}
		a.Value = slog.GroupValue(clean...)
	case slog.KindAny:
		if err, is := a.Value.Any().(error); is {
			a.Value = slog.StringValue(works.Scrub(err.Error()))
		}
	}
	return a
}
