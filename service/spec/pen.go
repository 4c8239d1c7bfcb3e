package spec

import (
	"strconv"
	"strings"
)

// penChunk is how much memory is taken for sentences at a time.
const penChunk = 2048

// Pen writes one sentence at a time. An answer has some twenty sentences with
// numbers in them: each is put together in one buffer, and they lie one behind
// another in memory that they share, where fmt would take three pieces for each.
// The zero value is ready; a pen must not be copied once it has written.
type Pen struct {
	buf  []byte
	text strings.Builder
}

// S writes text.
func (p *Pen) S(text string) *Pen { p.buf = append(p.buf, text...); return p }

// N writes a number in full, as somebody set it: as Plain does.
func (p *Pen) N(x float64) *Pen { p.buf = AppendPlain(p.buf, x); return p }

// About writes a computed number as a person reads it: as Short does.
func (p *Pen) About(x float64) *Pen { p.buf = AppendShort(p.buf, x); return p }

// Volts writes a voltage as a meter shows it: as Short3 does.
func (p *Pen) Volts(x float64) *Pen { p.buf = AppendShort3(p.buf, x); return p }

// I writes a whole number.
func (p *Pen) I(n int) *Pen { p.buf = strconv.AppendInt(p.buf, int64(n), 10); return p }

// End is the finished sentence; the pen is ready for the next.
func (p *Pen) End() string {
	if p.text.Cap()-p.text.Len() < len(p.buf) {
		p.text.Reset() // what was written stays with those who have it
		p.text.Grow(max(penChunk, len(p.buf)))
	}
	from := p.text.Len()
	p.text.Write(p.buf)
	p.buf = p.buf[:0]
	return p.text.String()[from:]
}

// Drop forgets half a sentence, as a panic may have left it.
func (p *Pen) Drop() { p.buf = p.buf[:0] }
