package label

// quantity is a number with its unit.
type quantity struct {
	field       field
	value       float64
	first, last int // tokens
	start, end  int // characters
	amps        bool
	count       bool // "cells", rather than S
	perCell     bool
	seconds     bool // an s that may stand for seconds
	other       bool // of no interest, or unread: it only parts what stands beside it
}

// measure finds the quantities, each token once.
func (p *page) measure() {
	thermal := false
	for i := 0; i < len(p.tokens); {
		t := &p.tokens[i]
		switch {
		case t.line || t.kind == aSign && (t.sign == ';' || t.sign == '|'):
			thermal = false
		case t.means.thermal:
			thermal = true
		}
		if t.kind == aWord && !t.taken {
			if next := p.prefixed(i); next > i {
				i = next
				continue
			}
		}
		if t.kind != aNumber || t.taken {
			i++
			continue
		}
		from := len(p.quantities)
		warm := thermal || p.cold
		p.cold = false
		i = p.number(i, warm)
		if len(p.quantities) > from {
			thermal = false
		}
	}
}

// prefixed reads "AWG 14" and "cells: 3", where the unit stands before the
// number, and returns the token behind it, or i.
func (p *page) prefixed(i int) int {
	u := p.tokens[i].means.unit
	if next := p.bracketed(u, i); next > i {
		return next
	}
	if u != gauge && u != cells || p.kindAt(i-1, aNumber) && !p.tokens[i].line {
		return i
	}
	j := i + 1
	told := u == gauge
	if u == cells && p.is(j, "count") {
		told = true
		j++
	}
	for p.signAt(j, ':', '=', '#', '-') {
		told = told || p.tokens[j].sign != '-'
		j++
		if j > i+4 {
			return i
		}
	}
	if !told || !p.kindAt(j, aNumber) || p.tokens[j].line {
		return i
	}
	if _, last := p.unitAfter(j); last > j {
		return i // it has a unit of its own
	}
	if u == cells {
		u = series
	}
	p.take(u, j, i, j)
	return j + 1
}

// bracketed reads "Capacity (mAh): 2200", where the unit stands in brackets
// before the number, and returns the token behind it, or i.
func (p *page) bracketed(u unit, i int) int {
	if u == noUnit || u >= second || u == watt || u == hour || !p.signAt(i-1, '(', '[') || !p.signAt(i+1, ')', ']') {
		return i
	}
	j := i + 2
	if p.signAt(j, ':', '=') {
		j++
	}
	if !p.kindAt(j, aNumber) || p.tokens[j].line {
		return i
	}
	if _, last := p.unitAfter(j); last > j {
		return i // it has a unit of its own
	}
	if _, next := p.chained(j); next > j {
		return i
	}
	p.take(u, j, i, j)
	return j + 1
}

// number reads the number at token i, and those that belong to it, and returns
// the token behind them.
func (p *page) number(i int, thermal bool) int {
	if next := p.spaced(i); next > i {
		return next
	}
	const longest = 4 // no value has more numbers in a row
	chain, j, by := 1, i, byte(0)
	for chain < longest {
		sign, next := p.chained(j)
		if sign == 0 || by != 0 && sign != by {
			break
		}
		by, j = sign, next
		chain++
	}
	u, last := p.unitAfter(j)
	if by == '*' {
		p.box(i, j, u, last, chain)
		return last + 1
	}
	negative := p.signAt(i-1, '-', '+') && !p.tokens[i].space && (i == 1 || p.tokens[i-1].space || p.signAt(i-2, '(', '/', '~'))
	zero := u == rate && readFigure(p.figures(i)) == figure{isDecimal: true}
	if u == rate && (thermal || negative || zero) {
		p.cold = (negative || zero) && chain == 1 && p.leadsOn(last+1)
		p.part(i, last)
		return last + 1
	}
	switch {
	case chain == 1:
		p.single(i, u, last)
		return last + 1
	case chain == 2 && u != noUnit && u != otherUnit && p.ranges(i, j, by, u):
		p.take(u, i, i, last)
		p.take(u, j, i, last)
		return last + 1
	case u == otherUnit:
		p.part(i, last)
		return last + 1
	case chain > 2 && u != noUnit:
		p.skipTokens(i, last, "it is not clear which of the numbers is the value")
		p.part(i, last)
		return last + 1
	}
	return i + 1 // the first stands alone, without a unit
}

// leadsOn reports whether token k joins what stands before it to another number:
// -20C to 60C, -10C/+45C.
func (p *page) leadsOn(k int) bool {
	if !p.signAt(k, '-', '~', '/') && !p.is(k, "to") {
		return false
	}
	return p.kindAt(k+1, aNumber) || p.signAt(k+1, '+') && p.kindAt(k+2, aNumber)
}

// single reads a number that stands alone.
func (p *page) single(i int, u unit, last int) {
	switch {
	case u == second:
		p.hush(i, last)
	case u == otherUnit || u == watt || u == hour || u == millivolt:
		p.part(i, last)
	case u != noUnit:
		p.take(u, i, i, last)
	default:
		p.bare(i)
	}
}

// ranges reports whether two numbers, the second with a unit, are a pair such
// as 30-60C, rather than two numbers that a hyphen parts.
func (p *page) ranges(i, j int, by byte, u unit) bool {
	a, b := readFigure(p.figures(i)), readFigure(p.figures(j))
	if by == '-' && (!a.isDecimal || !b.isDecimal || a.decimal >= b.decimal) {
		return false
	}
	if u == rate && !(a.decimal <= p.r.size[rate].most && b.decimal <= p.r.size[rate].most) {
		return false
	}
	return u == rate || u == ampere || u == volt || u == series || u == cells || u == milliampHour || u == ampHour || u == wattHour
}

func (p *page) figures(i int) []byte { return p.folded[p.tokens[i].start:p.tokens[i].end] }

// chained is the sign that joins the number at token j to another one, and that
// other one's token; 0 where none does.
func (p *page) chained(j int) (sign byte, next int) {
	if !p.kindAt(j+2, aNumber) || p.tokens[j+2].line || p.tokens[j+1].line {
		return 0, j
	}
	switch t := &p.tokens[j+1]; {
	case t.kind == aSign && t.sign == '*', t.kind == aWord && t.means.times:
		return '*', j + 2
	case t.kind == aSign && (t.sign == '-' || t.sign == '~') && t.space == p.tokens[j+2].space, p.is(j+1, "to"):
		return '-', j + 2
	case t.kind == aSign && t.sign == '/':
		return '/', j + 2
	}
	return 0, j
}

// box reads numbers with a times sign between them: the sides of a box, or a
// number of packs before a quantity.
func (p *page) box(i, j int, u unit, last, chain int) {
	switch {
	case chain > 2 || u == noUnit || u == otherUnit:
		p.part(i, last)
	case u == volt || u == wattHour || u == milliwattHour || u == gram || u == ounce || u == kilogram:
		p.skipTokens(i, last, "a number times a value: it is not clear what is that of the whole pack")
		p.part(i, last)
	default:
		p.skipTokens(i, i+1, "it looks like a number of packs")
		p.take(u, j, j, last)
	}
}

// spaced reads a number whose thousands are parted by single spaces, such as
// 2 200 mAh, and returns the token behind it, or i.
func (p *page) spaced(i int) int {
	const mostGroups = 3
	f := p.figures(i)
	if len(f) > 3 || f[0] == '0' || f[0] == '.' || hasSign(f) {
		return i
	}
	j := i
	for j+1 < len(p.tokens) && j-i < mostGroups {
		t := &p.tokens[j+1]
		if g := p.figures(j + 1); t.kind != aNumber || !t.single || len(g) != 3 || hasSign(g) {
			break
		}
		j++
	}
	if j == i {
		return i
	}
	u, last := p.unitAfter(j)
	if u != milliampHour && u != milliwattHour {
		return i
	}
	var packs bool
	if i > 0 && !p.tokens[i].line {
		packs = p.tokens[i-1].means.counts || p.tokens[i-1].means.times || p.signAt(i-1, '*')
	}
	packs = packs || last+1 < len(p.tokens) && p.tokens[last+1].means.counts && !p.is(last+1, "battery") && !p.is(last+1, "pack")
	if packs {
		p.ambiguous(capacityField, i, last, "the space in it may part thousands, or a number of packs from the capacity")
		return last + 1
	}
	x := 0.0
	for k := i; k <= j; k++ {
		x = x*1000 + readFigure(p.figures(k)).decimal
	}
	p.put(u, figure{decimal: x, isDecimal: true}, i, last)
	return last + 1
}

func hasSign(f []byte) bool {
	for _, b := range f {
		if !isDigit(b) {
			return true
		}
	}
	return false
}

// bare looks at a number without a unit: the size of a cell, a value whose unit
// is unknown, or nothing.
func (p *page) bare(i int) {
	t := &p.tokens[i]
	switch p.word(i) {
	case "18650", "21700", "20700", "26650", "18500", "14500", "32650", "32700":
		p.size = true
		return
	}
	const shortUnit = 5
	next := i + 1
	first := i == 0 || t.space || p.kindAt(i-1, aSign) && !p.signAt(i-1, '-', '_', '.', '#')
	switch {
	case first && p.glued(next) && p.kindAt(next, aWord) && !p.tokens[next].known && p.tokens[next].end-p.tokens[next].start <= shortUnit:
		p.skipTokens(i, next, "the unit is unknown")
	case p.wanted(i):
		p.skipTokens(i, i, "the number has no unit")
	}
}

// wanted reports whether a word before the number says that it is a value.
func (p *page) wanted(i int) bool {
	for p.signAt(i-1, ':', '=') {
		i--
	}
	return i > 0 && p.tokens[i-1].means.wantUnit
}
