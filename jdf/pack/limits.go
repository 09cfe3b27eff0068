package pack

// Limits bound what Open takes on. A zero field stands for its default.
type Limits struct {
	MaxBytes     int64 // size of the package as it came, in bytes; default 1 GiB
	MaxParts     int   // number of parts; default 10,000
	MaxPartBytes int64 // one part, unpacked, in bytes; default 512 MiB
	MaxTotal     int64 // all parts together, unpacked, in bytes; default 2 GiB
	MaxRatio     int64 // unpacked to packed size of a part over 1 MiB; default 250
	MaxHeader    int64 // headers of a MIME message or part, in bytes; default 64 KiB
}

const (
	kib = 1 << 10
	mib = 1 << 20
	gib = 1 << 30
)

// ratioFloor is the unpacked size up to which no ratio is called a bomb: small
// parts of blanks pack well and do no harm.
const ratioFloor = mib

func (l Limits) orDefault() Limits {
	set := func(field *int64, value int64) {
		if *field <= 0 {
			*field = value
		}
	}
	set(&l.MaxBytes, gib)
	set(&l.MaxPartBytes, 512*mib)
	set(&l.MaxTotal, 2*gib)
	set(&l.MaxRatio, 250)
	set(&l.MaxHeader, 64*kib)
	if l.MaxParts <= 0 {
		l.MaxParts = 10_000
	}
	return l
}
