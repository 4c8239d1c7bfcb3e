package label

// unitAfter is the unit behind the number at token j, and its last token; j
// itself where there is none. A unit may stand in two parts (mA h, A·h), and
// behind a hyphen (3-cell).
func (p *page) unitAfter(j int) (u unit, last int) {
	k := j + 1
	if k >= len(p.tokens) {
		return noUnit, j
	}
	if u, last = p.thermometer(k); u != noUnit {
		return u, last
	}
	if p.signAt(k, '%') {
		return otherUnit, k
	}
	hyphen := p.signAt(k, '-') && p.glued(k) && p.glued(k+1)
	if hyphen {
		k++
	}
	if !p.kindAt(k, aWord) || p.tokens[k].taken {
		return noUnit, j
	}
	if p.is(k, "in") && p.kindAt(k+1, aWord) && (p.tokens[k+1].means.unit == series || p.tokens[k+1].means.unit == parallel) {
		k++ // 3 in series
	}
	t := &p.tokens[k]
	u, last = t.means.unit, k
	if u == noUnit {
		return noUnit, j
	}
	if whole, end := p.withHour(u, k); end > k {
		u, last = whole, end
	}
	if (hyphen || t.line) && !strong(u) && u != cells {
		return noUnit, j
	}
	return u, last
}

// thermometer reads a degree sign, and the letter behind it.
func (p *page) thermometer(k int) (unit, int) {
	if p.signAt(k, celsiusByte) {
		return otherUnit, k
	}
	if !p.signAt(k, degreeByte) {
		return noUnit, k
	}
	if p.is(k+1, "c") || p.is(k+1, "f") {
		k++
	}
	return otherUnit, k
}

// withHour joins amperes or watts to the hours behind them.
func (p *page) withHour(u unit, k int) (unit, int) {
	whole := noUnit
	switch u {
	case ampere:
		whole = ampHour
	case milliampere:
		whole = milliampHour
	case watt:
		whole = wattHour
	default:
		return u, k
	}
	n := k + 1
	if p.signAt(n, dotByte, '-', '.', '*') {
		n++
	}
	if p.kindAt(n, aWord) && p.tokens[n].means.unit == hour && !p.tokens[n].line {
		return whole, n
	}
	return u, k
}

// strong units are those that no model number has by chance.
func strong(u unit) bool {
	switch u {
	case milliampHour, ampHour, milliwattHour, wattHour, kilowattHour:
		return true
	}
	return false
}

// size says for each unit what it measures and how much of the field's own unit
// it is. Between least and most a value makes sense on a label: that decides
// between two readings of a number. Between low and high a pack may have it at
// all, in the field's unit.
type size struct {
	field       field
	factor      float64
	least, most float64
	low, high   float64
	whole       bool
}

func (r *Reader) sizes() [otherUnit]size {
	capacity := func(factor float64) size {
		return size{field: capacityField, factor: factor, least: r.smallestMAh, most: r.largestMAh, low: 10, high: 1e6}
	}
	const leastWh, mostWh = 0.1, 2000.0 // common practice: what hobby packs hold
	energy := func(factor float64) size {
		return size{field: energyField, factor: factor, least: leastWh, most: mostWh, low: 0.01, high: 1e5}
	}
	mass := func(factor float64) size {
		const leastG, mostG = 1, 20000 // common practice
		return size{field: massField, factor: factor, least: leastG, most: mostG, low: 0.1, high: 1e5}
	}
	count := size{field: seriesField, factor: 1, least: 1, most: 32, low: 1, high: 32, whole: true}
	across := count
	across.field = parallelField
	current := func(factor float64) size {
		return size{field: dischargeField, factor: factor, least: 0.01, most: 1000, low: 0.01, high: 10000}
	}
	return [otherUnit]size{
		milliampHour: capacity(1), ampHour: capacity(1000),
		wattHour: energy(1), milliwattHour: energy(0.001), kilowattHour: energy(1000),
		volt:   {field: voltageField, factor: 1, least: 0.5, most: 192, low: 0.5, high: 192},
		series: count, cells: count, parallel: across,
		rate:   {field: dischargeField, factor: 1, least: 0.05, most: 500, low: 0.01, high: 2000},
		ampere: current(1), milliampere: current(0.001),
		gauge: {field: gaugeField, factor: 1, least: 0, most: 40, low: 0, high: 40, whole: true},
		gram:  mass(1), kilogram: mass(1000),
		ounce: mass(28.349523125), // exact: the international avoirdupois ounce
	}
}

// take reads the number at token i with a unit; first and last are the tokens
// of the piece it stands in.
func (p *page) take(u unit, i, first, last int) {
	t := &p.tokens[i]
	touching := p.glued(i) && p.kindAt(i-1, aWord) && !p.tokens[i-1].known
	if t.odd && (!strong(u) || touching) {
		p.skipTokens(first, last, "it stands in what looks like a model number")
		p.part(first, last)
		return
	}
	p.put(u, readFigure(p.figures(i)), first, last)
}

// put makes a quantity of a figure and a unit, by the reading that makes sense.
func (p *page) put(u unit, f figure, first, last int) {
	s := &p.r.size[u]
	within := func(x, low, high float64) bool { return x*s.factor >= low*(1-1e-9) && x*s.factor <= high*(1+1e-9) }
	x := f.decimal
	if f.isDecimal && f.isThousands {
		decimal, thousands := within(f.decimal, s.least, s.most), within(f.thousands, s.least, s.most)
		if decimal && thousands {
			p.ambiguous(s.field, first, last, "its sign may be a decimal sign, or part thousands, and both make sense")
			return
		}
		if thousands {
			x = f.thousands
		}
	} else if f.isThousands {
		x = f.thousands
	}
	why := ""
	switch {
	case !f.isDecimal && !f.isThousands:
		why = "the number cannot be read"
	case !within(x, s.low, s.high):
		why = "the value is out of range; the unit may be wrong"
	}
	if why != "" {
		p.skipTokens(first, last, why)
		p.part(first, last)
		return
	}
	if s.whole && (f.places && x == f.decimal) {
		p.skipTokens(first, last, "it must be a whole number")
		p.part(first, last)
		return
	}
	q := quantity{field: s.field, value: x * s.factor, first: first, last: last, amps: u == ampere || u == milliampere, count: u == cells}
	q.start, q.end = p.tokens[first].start, p.tokens[last].end
	switch u {
	case volt:
		q.perCell = p.perCell(last + 1)
	case series:
		q.seconds = p.text[p.at[p.tokens[last].start]] == 's' && p.maybeSeconds(first, last)
		if q.seconds {
			p.hush(first, last)
		}
	}
	p.quantities = append(p.quantities, q)
}

// perCell reports whether the tokens from k on say that a voltage is that of a
// cell: 3.7V/cell, 3.7V per cell, 3.7V cells.
func (p *page) perCell(k int) bool {
	switch {
	case p.is(k, "each"):
		return true
	case p.signAt(k, '*') && p.kindAt(k+1, aNumber), p.kindAt(k, aWord) && p.tokens[k].means.times && p.kindAt(k+1, aNumber): // 1.2V x 4
		return true
	case p.signAt(k, '/'), p.is(k, "per"), p.is(k, "a"):
		return p.kindAt(k+1, aWord) && p.tokens[k+1].means.unit == cells
	}
	return p.kindAt(k, aWord) && p.tokens[k].means.unit == cells && !p.kindAt(k+1, aNumber)
}

// maybeSeconds reports whether a small s may stand for seconds: for 10s, 10s
// burst, burst (10s).
func (p *page) maybeSeconds(first, last int) bool {
	before, after := first-1, last+1
	for p.signAt(before, '(', '<', otherByte) {
		before--
	}
	for p.signAt(after, ')') {
		after++
	}
	beside := func(i int) bool { return i >= 0 && i < len(p.tokens) && p.tokens[i].means.role&burst != 0 }
	parenthesized := p.signAt(first-1, '(') && p.signAt(last+1, ')') && p.kindAt(before, aWord) && p.tokens[before].means.unit == rate
	return !p.tokens[first].line && beside(before) || beside(after) && !p.tokens[after].line || p.is(before, "for") || parenthesized
}

// part notes a stretch of the text that is no value and yet parts what stands
// beside it.
func (p *page) part(first, last int) {
	p.quantities = append(p.quantities, quantity{other: true, first: first, last: last})
}

func (p *page) ambiguous(f field, first, last int, why string) {
	start, end := p.tokens[first].start, p.tokens[last].end
	p.part(first, last)
	p.contradict(Contradiction{
		Kind: AmbiguousNumber, Message: "“" + p.short(start, end) + "” can be read in two ways: " + why, Fields: pointers(f),
		Pieces: []Piece{{p.piece(start, end), start, end}}, Check: "look for the value in another unit on the label, and write it without a sign between thousands",
	})
}

// short is a piece of the text, cut where it is long.
func (p *page) short(start, end int) string {
	const most = 60
	if end-start > most {
		return p.piece(start, start+most) + "…"
	}
	return p.piece(start, end)
}

func (p *page) skipTokens(first, last int, why string) {
	p.skip(p.tokens[first].start, p.tokens[last].end, why)
}

func (p *page) skip(start, end int, why string) {
	if len(p.unread) < mostUnread {
		p.unread = append(p.unread, Unread{p.piece(start, end), start, end, why})
	}
}

// hush makes a number of seconds, and brackets around it, stand in nobody's way.
func (p *page) hush(first, last int) {
	if p.signAt(first-1, '(') && p.signAt(last+1, ')') {
		first, last = first-1, last+1
	}
	for i := first; i <= last; i++ {
		p.tokens[i].quiet = true
	}
}
