package packages

import (
	"context"
	"errors"
	"io"
	"testing"
	"time"

	"github.com/stretchr/testify/require"

	"quoin/jdf/pack"
	"quoin/validate"
)

type readerFunc func(context.Context) (*PDF, error)

func (f readerFunc) Read(ctx context.Context, _ io.ReadSeeker) (*PDF, error) { return f(ctx) }

func TestReaderIsGuarded(t *testing.T) {
	opt := Options{PDFTime: 20 * time.Millisecond}.orDefault()
	opt.PDF = readerFunc(func(context.Context) (*PDF, error) { panic("index out of range") })
	_, err := guarded(context.Background(), opt, nil)
	require.ErrorContains(t, err, "its structure is broken (index out of range)")

	done := make(chan struct{})
	opt.PDF = readerFunc(func(context.Context) (*PDF, error) { <-done; return nil, errors.New("late") })
	_, err = guarded(context.Background(), opt, nil)
	close(done)
	require.ErrorIs(t, err, errPDFTime)

	opt.PDF = readerFunc(func(ctx context.Context) (*PDF, error) { <-ctx.Done(); return nil, ctx.Err() })
	_, err = guarded(context.Background(), opt, nil)
	require.ErrorIs(t, err, errPDFTime)
}

// A check that has nothing to read PDFs with ends where there is one, rather
// than pass what it has not seen; one without PDFs is whole.
func TestNoReader(t *testing.T) {
	path := zipFile(
		t, t.TempDir(), pack.NewPart("a.xjdf", "", "", ticketWith("a.pdf")),
		pack.NewPart("a.pdf", "", "", []byte("%PDF-1.4")),
	)
	_, err := Check(context.Background(), &validate.Engine{}, path, Options{})
	require.ErrorIs(t, err, ErrNoReader)
	path = zipFile(
		t, t.TempDir(), pack.NewPart("a.xjdf", "", "", ticketWith("a.png")),
		pack.NewPart("a.png", "", "", []byte("\x89PNG\r\n\x1a\n")),
	)
	report, err := Check(context.Background(), &validate.Engine{}, path, Options{})
	require.NoError(t, err)
	require.Empty(t, ids(report))
}
