package packages

import (
	"context"
	"time"
)

// Guarded reads a PDF as a check does.
func Guarded(ctx context.Context, reader PDFReader, limit time.Duration, data []byte) (*PDF, error) {
	return guarded(ctx, Options{PDF: reader, PDFTime: limit}.orDefault(), data)
}
