package packages

import (
	"bytes"
	"context"

	"quoin/jdf/pack"
	"quoin/validate"
)

// CheckBytes checks what is in memory, under a name: a package as Check does, and
// a plain ticket without files beside it, for there is no folder around it.
func CheckBytes(
	ctx context.Context, engine *validate.Engine, name string, data []byte, opt Options,
) (*validate.Report, error) {
	if !IsPackage(data[:min(len(data), pack.SniffLength)]) {
		return engine.Stream(name, bytes.NewReader(data))
	}
	c := newCheck(ctx, engine, name, opt)
	err := c.pack(bytes.NewReader(data), int64(len(data)))
	if err != nil && c.report.Files == 0 {
		return nil, err
	}
	return c.finish(), err
}
