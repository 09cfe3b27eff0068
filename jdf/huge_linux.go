package jdf

import (
	"os"
	"syscall"
	"unsafe"
)

// hugeFrom is the size in bytes from which huge pages are asked for.
const hugeFrom = 4 << 20

// inHugePages asks the system to give fresh memory in large pieces. Where each
// first touch of a page is dear, as on virtual machines, reading a large ticket
// takes less than half the time. It is advice: a refusal changes nothing.
func inHugePages[T any](s []T) {
	var one T
	s = s[:cap(s)]
	size := len(s) * int(unsafe.Sizeof(one))
	if size < hugeFrom {
		return
	}
	all := unsafe.Slice((*byte)(unsafe.Pointer(unsafe.SliceData(s))), size)
	page := os.Getpagesize()
	into := int(-uintptr(unsafe.Pointer(&all[0])) & uintptr(page-1))
	const advice = 14 // MADV_HUGEPAGE, which package syscall does not name
	_ = syscall.Madvise(all[into:into+(size-into)&^(page-1)], advice)
}
