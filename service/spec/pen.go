package spec

import "strconv"

// Pen writes one sentence at a time. An answer has some twenty sentences with
// numbers in them; appending to one buffer costs one allocation a sentence,
// where fmt would cost three.
type Pen struct{ buf []byte }

// NewPen is a pen that is kept and used again.
func NewPen() Pen { return Pen{make([]byte, 0, 256)} }

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
	s := string(p.buf)
	p.buf = p.buf[:0]
	return s
}

// Drop forgets half a sentence, as a panic may have left it.
func (p *Pen) Drop() { p.buf = p.buf[:0] }
