package label

import "github.com/wattkeel/wattkeel/service/rule"

// sides counts where on a label the words stand that can belong to one rate
// alone: before their number, as in charge 5C, or behind it, as in 5C charge.
type sides struct{ before, behind int }

func (s *sides) count(b *bundle, k int) {
	if k == b.k {
		s.behind++
	} else {
		s.before++
	}
}

// wants is the side on which the words of this label leave the number for words
// between k and the next: k or k+1, or -1 where the label does not say.
func (s sides) wants(k int) int {
	switch {
	case s.behind > 0 && s.before == 0:
		return k
	case s.before > 0 && s.behind == 0:
		return k + 1
	}
	return -1
}

// settleCharge gives words for charging between two rates, equally near to both,
// to one of them. The way the rest of the label is printed says to which, and so
// does a fact of the trade: no pack may be charged faster than it may be
// discharged, so the smaller is the charge rate. Where the two disagree, or
// neither says anything, both rates are left out: a discharge rating read as a
// charge rating starts fires.
func (p *page) settleCharge(b *bundle, s sides) {
	l, r := &p.anchors[b.k], &p.anchors[b.k+1]
	wanted := s.wants(b.k)
	left, right, known := p.slower(l, r)
	switch {
	case l.role&r.role&charge != 0: // each has a word of its own
		return
	case !known && wanted >= 0:
		p.give(wanted, b)
		return
	case left && wanted != b.k+1 || left && right:
		p.give(b.k, b)
		return
	case right && wanted != b.k:
		p.give(b.k+1, b)
		return
	}
	why := "the words on the rest of the label stand so that it would be the larger, but no pack may be charged faster than it may be discharged"
	if !known || !left && !right {
		why = "the words for charging stand between two numbers, and nothing else on the label tells to which they belong"
	}
	p.leaveOut(b, why, b.k, b.k+1)
}

// slower reports which of two rates may be the charge rate of a pack that has
// the other as its discharge rate. A current is compared with a rate by the
// capacity, and not known to be either without it.
func (p *page) slower(l, r *anchor) (left, right, known bool) {
	lowL, highL := p.span(l)
	lowR, highR := p.span(r)
	switch al, ar := p.quantities[l.a].amps, p.quantities[r.a].amps; {
	case al != ar && p.only(capacityField) == 0:
		return false, false, false
	case al && !ar:
		lowR, highR = lowR*p.only(capacityField)/1000, highR*p.only(capacityField)/1000
	case ar && !al:
		lowL, highL = lowL*p.only(capacityField)/1000, highL*p.only(capacityField)/1000
	}
	return highL <= lowR, highR <= lowL, true
}

// span is the lowest and the highest of the rates of an anchor.
func (p *page) span(a *anchor) (low, high float64) {
	low = p.quantities[a.a].value
	high = low
	if a.b >= 0 {
		x := p.quantities[a.b].value
		low, high = min(low, x), max(high, x)
	}
	return low, high
}

// only is the one value that the label prints for a field, 0 where it prints
// none or several.
func (p *page) only(f field) float64 {
	x := &p.printed[f]
	if *x != 0 {
		return max(*x, 0)
	}
	*x = -1
	for i := range p.quantities {
		q := &p.quantities[i]
		switch {
		case q.other || q.field != f || q.seconds:
		case *x < 0:
			*x = q.value
		case !same(q.value, *x):
			*x = -1
			return 0
		}
	}
	return max(*x, 0)
}

// settleVolts gives words for charging between a rate and a voltage, equally near
// to both, to the rate, as in 5C charge 11.1V. A voltage above the nominal one may
// be what the pack is charged to, as in 30C charge 12.6V: then the rest of the
// label has to say that the rate is for charging, or it is left out. The voltage
// is held against the rest of the label all the same.
func (p *page) settleVolts(b *bundle, rate, volts int, s sides) {
	if b.all()&charge == 0 || b.second != 0 || s.wants(b.k) == rate || !p.aboveNominal(&p.quantities[p.anchors[volts].a]) {
		p.give(rate, b)
		return
	}
	p.leaveOut(b, "the words for charging may belong to the number before V, which is above the nominal voltage", rate)
}

// aboveNominal reports whether a voltage is above the nominal one of any pack of
// so many cells, or above another one on the label.
func (p *page) aboveNominal(v *quantity) bool {
	if n := p.only(seriesField); n != 0 {
		above := true
		for _, c := range p.r.cells.All() {
			cellV, off := rule.NearestNominal(c, v.value, int(n))
			above = above && v.value > cellV*n && off > p.r.tolerance
		}
		if above {
			return true
		}
	}
	if p.lowest == 0 {
		p.lowest = v.value
		for i := range p.quantities {
			if q := &p.quantities[i]; !q.other && q.field == voltageField && !q.perCell {
				p.lowest = min(p.lowest, q.value)
			}
		}
	}
	return p.lowest < v.value && !same(p.lowest, v.value)
}

// leaveOut leaves the numbers of some anchors out, and names the words between
// two numbers because of which.
func (p *page) leaveOut(b *bundle, why string, anchors ...int) {
	for _, k := range anchors {
		p.anchors[k].open, p.anchors[k].role = true, 0
	}
	start, end := p.tokens[p.anchors[b.k].first].start, p.tokens[p.anchors[b.k+1].last].end
	p.contradict(Contradiction{
		Kind: AmbiguousNumber, Message: "“" + p.short(start, end) + "” does not say which number is the charge rate: " + why,
		Fields: pointers(chargeField, dischargeField), Pieces: []Piece{{p.piece(start, end), start, end}}, Check: check(chargeField),
	})
}

// judgeCharge holds the charge rate against all that the label says of
// discharging, a burst as well, and rates that are refuted: it must not come out
// as the larger.
func (p *page) judgeCharge() {
	c := p.chosenClaim(chargeField)
	if c == nil {
		return
	}
	for i := range p.claims {
		d := &p.claims[i]
		if d.field != dischargeField && d.field != burstField || d.amps && d.because == "" || d.usual && p.chosen[d.field] != i+1 {
			continue
		}
		if c.value <= d.value || (c.because != "" || d.because != "") && apart(c.value, d.value) <= p.r.rounding {
			continue
		}
		fields := []field{chargeField}
		if p.chosen[d.field] == i+1 && !p.refuted[d.field] {
			fields = append(fields, d.field)
		}
		for _, f := range fields {
			p.refuted[f] = true
		}
		pieces := []int{p.chosen[chargeField] - 1, i}
		if d.start < c.start {
			pieces[0], pieces[1] = pieces[1], pieces[0]
		}
		p.contradict(Contradiction{
			Kind: ChargeAgainst, Message: "the label gives " + name(chargeField) + " as " + p.says(c) + " and " + name(d.field) + " as " + p.says(d) + ": no pack may be charged faster than it may be discharged",
			Fields: pointers(fields...), Pieces: p.pieces(pieces), Check: check(chargeField),
		})
		return
	}
}
