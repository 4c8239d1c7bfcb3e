package charge

import (
	"strconv"

	"github.com/wattkeel/wattkeel/service/spec"
)

// pen writes one sentence at a time. A plan has some twenty sentences with
// numbers in them; appending to one buffer costs one allocation a sentence,
// where fmt would cost three.
type pen struct{ buf []byte }

func (p *pen) s(text string) *pen { p.buf = append(p.buf, text...); return p }

// n writes a number in full, as somebody set it.
func (p *pen) n(x float64) *pen {
	p.buf = spec.AppendPlain(p.buf, x)
	return p
}

// about writes a computed number as a person reads it.
func (p *pen) about(x float64) *pen { p.buf = spec.AppendShort(p.buf, x); return p }

func (p *pen) i(n int) *pen { p.buf = strconv.AppendInt(p.buf, int64(n), 10); return p }

// end is the finished sentence; the pen is ready for the next.
func (p *pen) end() string {
	s := string(p.buf)
	p.buf = p.buf[:0]
	return s
}
