package label

import "github.com/wattkeel/wattkeel/service/spec"

// mention is the name of a chemistry in the text.
type mention struct {
	phrase
	start, end int
}

// nameChemistries finds the names of chemistries, the longest first, among
// words that nothing but a space, a hyphen, a point or a line break parts.
func (p *page) nameChemistries() {
	const longest, parts = 40, 5
	var name [longest]byte
	for i := 0; i < len(p.tokens); i++ {
		if t := &p.tokens[i]; t.kind != aWord || !p.r.begins[p.folded[t.start]] {
			continue
		}
		n, words, best, last := 0, 0, phrase{}, -1
		for j := i; j < len(p.tokens) && words < parts; j++ {
			t := &p.tokens[j]
			if t.kind == aSign {
				if (t.sign == '-' || t.sign == '.' || t.sign == '_' || t.sign == dotByte || t.sign == '/' && words == 1) && j > i {
					continue
				}
				break
			}
			f := p.folded[t.start:t.end]
			if n+len(f) > longest || t.kind == aNumber && (t.space || len(f) > 1) {
				break
			}
			n += copy(name[n:], f)
			words++
			found, is := p.r.phrases[string(name[:n])]
			if !is {
				break
			}
			if !found.part && (!found.exact || p.spelledLiFe(i, j)) {
				best, last = found, j
			}
		}
		if last < 0 {
			continue
		}
		for j := i; j <= last; j++ {
			p.tokens[j].taken, p.tokens[j].known = true, true
		}
		p.families = append(p.families, mention{best, p.tokens[i].start, p.tokens[last].end})
		i = last
	}
}

// spelledLiFe tells the chemistry from the word life by its capitals, or by the
// hyphen in it.
func (p *page) spelledLiFe(i, j int) bool {
	if i != j {
		return true
	}
	return p.piece(p.tokens[i].start, p.tokens[i].end) == "LiFe"
}

// decideChemistry chooses the chemistry that all names agree on. A pack that is
// called lipo and high voltage is one or the other: only a voltage that fits
// one of the two says which.
func (p *page) decideChemistry() {
	named := map[spec.Chemistry]int{}
	high, foreign := -1, -1
	for i, m := range p.families {
		switch {
		case m.chemistry == "":
			if foreign < 0 {
				foreign = i
			}
			p.skip(m.start, m.end, "the chemistry is none that is known here")
		case m.weak:
			if high < 0 {
				high = i
			}
		default:
			if _, known := named[m.chemistry]; !known {
				named[m.chemistry] = i
			}
		}
	}
	_, lipo := named[spec.LiPo]
	_, lihv := named[spec.LiHV]
	both := lipo && (lihv || high >= 0)
	switch {
	case foreign >= 0 && len(named) > 0:
		p.contradictChemistry("the label names a chemistry that is not known here beside one that is")
	case len(named) == 1 && !both:
		for c, i := range named {
			if high >= 0 && c != spec.LiHV {
				p.contradictChemistry("the label says high voltage, which " + string(c) + " packs are not")
				return
			}
			p.chooseChemistry(c, i)
		}
	case both && len(named) <= 2 && (len(named) == 1 || lihv):
		switch p.voltageSays() {
		case spec.LiHV:
			p.chooseChemistry(spec.LiHV, max(high, named[spec.LiHV]))
		case spec.LiPo:
			if lihv {
				p.contradictChemistry("the label says high voltage, and its nominal voltage is that of a pack which is full at 4.20 V a cell")
				return
			}
			m := p.families[high]
			p.skip(m.start, m.end, "the nominal voltage is not that of a high-voltage pack")
			p.chooseChemistry(spec.LiPo, named[spec.LiPo])
		default:
			p.contradictChemistry("the label says both lipo, which is full at 4.20 V a cell, and high voltage, which is full at 4.35 V")
		}
	case len(named) > 1:
		p.contradictChemistry("the label names more than one chemistry")
	case high >= 0 && foreign < 0:
		if p.voltageSays() == spec.LiHV {
			p.chooseChemistry(spec.LiHV, high)
		} else {
			m := p.families[high]
			p.skip(m.start, m.end, "high voltage alone names no chemistry")
		}
	}
}

func (p *page) chooseChemistry(c spec.Chemistry, i int) {
	for _, m := range p.families {
		if m.chemistry == c && (!m.weak || m.start == p.families[i].start) {
			p.claims = append(p.claims, claim{field: chemistryField, chemistry: c, start: m.start, end: m.end})
		}
	}
	p.choose(chemistryField)
}

func (p *page) contradictChemistry(message string) {
	var pieces []Piece
	for _, m := range p.families {
		if m.chemistry != "" {
			p.claims = append(p.claims, claim{field: chemistryField, chemistry: m.chemistry, start: m.start, end: m.end})
		}
		pieces = append(pieces, Piece{p.piece(m.start, m.end), m.start, m.end})
	}
	p.refuted[chemistryField] = true
	p.contradict(Contradiction{
		Kind: ChemistryAgainst, Message: message, Fields: []string{pointer(chemistryField)}, Pieces: pieces,
		Check: "look for the full or the nominal voltage of a cell on the label, and take the chemistry it belongs to; when in doubt, ask who sold the pack",
	})
}

// voltageSays is lipo or lihv, where the nominal voltage and the cell count are
// printed and are those of only one of them.
func (p *page) voltageSays() spec.Chemistry {
	v, n := p.value(voltageField), p.value(seriesField)
	if v == 0 || n == 0 {
		return ""
	}
	_, low := p.r.nearest(spec.LiPo, v, int(n))
	_, high := p.r.nearest(spec.LiHV, v, int(n))
	switch {
	case high <= p.r.tolerance && high < low-p.r.better:
		return spec.LiHV
	case low <= p.r.tolerance && low < high-p.r.better:
		return spec.LiPo
	}
	return ""
}
