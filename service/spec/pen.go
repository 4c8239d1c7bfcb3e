package spec

import (
	"strconv"
	"strings"
)

// A chunk is taken when less than what a sentence needs is left of the last.
const penChunk, penLeast = 4096, 256

// Pen writes one sentence at a time. An answer has some twenty sentences with
// numbers in them: they lie one behind another in chunks of memory, which costs
// one allocation for all of them, where fmt would cost three for each. The zero
// value is ready; a pen must not be copied once it has written.
type Pen struct {
	text strings.Builder
	from int // where the sentence begins
}

// S writes text.
func (p *Pen) S(text string) *Pen { p.text.WriteString(text); return p }

// N writes a number in full, as somebody set it: as Plain does.
func (p *Pen) N(x float64) *Pen {
	var digits [32]byte
	p.text.Write(AppendPlain(digits[:0], x))
	return p
}

// About writes a computed number as a person reads it: as Short does.
func (p *Pen) About(x float64) *Pen {
	var digits [32]byte
	p.text.Write(AppendShort(digits[:0], x))
	return p
}

// Volts writes a voltage as a meter shows it: as Short3 does.
func (p *Pen) Volts(x float64) *Pen {
	var digits [32]byte
	p.text.Write(AppendShort3(digits[:0], x))
	return p
}

// I writes a whole number.
func (p *Pen) I(n int) *Pen {
	var digits [32]byte
	p.text.Write(strconv.AppendInt(digits[:0], int64(n), 10))
	return p
}

// End is the finished sentence; the pen is ready for the next.
func (p *Pen) End() string {
	s := p.text.String()[p.from:]
	if p.text.Cap()-p.text.Len() < penLeast {
		p.text.Reset() // what was written stays with those who have it
		p.text.Grow(penChunk)
	}
	p.from = p.text.Len()
	return s
}

// Drop forgets half a sentence, as a panic may have left it.
func (p *Pen) Drop() { p.from = p.text.Len() }
