package label

import (
	"math"

	"github.com/wattkeel/wattkeel/service/spec"
)

// field is a field of the pack, in the order in which a pack lists them.
type field uint8

const (
	chemistryField field = iota
	seriesField
	parallelField
	capacityField
	chargeField
	dischargeField
	burstField
	massField
	gaugeField
	voltageField
	energyField
	fieldCount
)

const packAt = "/pack/"

// pointer is the JSON Pointer of a field in the answer.
func pointer(f field) string {
	switch f {
	case chemistryField:
		return packAt + "chemistry"
	case seriesField:
		return packAt + "cells_series"
	case parallelField:
		return packAt + "cells_parallel"
	case capacityField:
		return packAt + "capacity_mah"
	case chargeField:
		return packAt + "max_charge_c_rate"
	case dischargeField:
		return packAt + "max_discharge_c_rate"
	case burstField:
		return packAt + "burst_discharge_c_rate"
	case massField:
		return packAt + "mass_g"
	case gaugeField:
		return packAt + "main_lead/wire_awg"
	case voltageField:
		return packAt + "nominal_voltage_v"
	}
	return packAt + "energy_wh"
}

func name(f field) string { return pointer(f)[len(packAt):] }

func pointers(fields ...field) []string {
	out := make([]string, len(fields))
	for i, f := range fields {
		out[i] = pointer(f)
	}
	return out
}

// claim is one value that the text gives a field.
type claim struct {
	field      field
	value      float64
	chemistry  spec.Chemistry
	start, end int
	usual      bool   // recommended, rather than the highest
	amps       bool   // value is a current, and the field a rate
	because    string // of a derived value
}

// claimValues turns quantities into claims, by their roles.
func (p *page) claimValues() {
	for i := range p.quantities {
		q := &p.quantities[i]
		switch {
		case q.other || q.field == dischargeField || q.field == voltageField || q.count:
		case q.seconds:
			p.skip(q.start, q.end, "it may be a number of seconds or of cells")
		default:
			p.claim(q, q.field)
		}
	}
	p.claimRates()
	for i := range p.anchors {
		a := &p.anchors[i]
		q := &p.quantities[a.a]
		if q.other || q.field != voltageField {
			continue
		}
		switch {
		case a.role != 0:
			p.skip(q.start, q.end, "it is not the nominal voltage but one at the end of charge or discharge, or for storage")
		case q.perCell:
			p.skip(q.start, q.end, "it is the voltage of a cell, not of the pack")
		default:
			p.claim(q, voltageField)
		}
	}
	p.choose(seriesField)
	p.choose(parallelField)
	p.claimCounts()
	for f := seriesField; f < fieldCount; f++ {
		p.choose(f)
	}
}

func (p *page) claim(q *quantity, f field) {
	if !q.amps && q.field == dischargeField && !p.r.rateInRange(f, q.value) {
		p.skip(q.start, q.end, "the value is out of range; the unit may be wrong")
		return
	}
	p.claims = append(p.claims, claim{field: f, value: q.value, start: q.start, end: q.end, amps: q.amps})
}

// claimCounts reads "6 cells": the cells in series, or all of them where it is
// the product of 3S2P.
func (p *page) claimCounts() {
	s, n := p.value(seriesField), p.value(parallelField)
	for i := range p.quantities {
		if q := &p.quantities[i]; q.count && !q.other && !(s != 0 && n != 0 && q.value == s*n) {
			p.claim(q, seriesField)
		}
	}
}

const openWhy = "it is not clear which of two numbers the words for charging belong to"

// claimRates reads rates and currents. A single rate without a word is the
// continuous one, and of two next to each other the second is the burst rate:
// that is how labels are printed.
func (p *page) claimRates() {
	for k := 0; k < len(p.anchors); k++ {
		a := &p.anchors[k]
		q := &p.quantities[a.a]
		if q.other || q.field != dischargeField {
			continue
		}
		switch {
		case a.open:
			p.skip(q.start, p.quantities[max(a.a, a.b)].end, openWhy)
		case a.unclear || !compatible(a.role, 0) && !a.slashed:
			p.skip(q.start, p.quantities[max(a.a, a.b)].end, "it is not clear whether it is for charging or discharging, continuous or burst")
		case a.b >= 0 && a.slashed:
			p.claim(q, rateField(a.roles[0]))
			p.claim(&p.quantities[a.b], rateField(a.roles[1]))
		case a.role == 0 && !q.amps && k > 0 && p.again(&p.anchors[k-1], a):
			if p.anchors[k-1].role == 0 {
				p.skip(q.start, p.quantities[max(a.a, a.b)].end, "no word says what the current before it is for")
			} else {
				p.claim(q, p.fieldOf(&p.anchors[k-1]))
			}
		case a.role == 0 && a.b < 0 && !q.amps && k > 0 && p.goesOn(&p.anchors[k-1], a):
			if p.anchors[k-1].open {
				p.skip(q.start, q.end, openWhy)
			} else {
				p.claim(q, chargeField)
			}
		case a.role == 0 && q.amps && k > 0 && p.inAmps(&p.anchors[k-1], a):
			p.claim(q, p.fieldOf(&p.anchors[k-1]))
			if a.b >= 0 {
				p.claim(&p.quantities[a.b], burstField)
			}
		case a.role == 0 && q.amps:
			p.skip(q.start, p.quantities[max(a.a, a.b)].end, "no word says what the current is for")
		case a.b >= 0 && a.role&charge != 0: // two charge rates: they contradict each other
			p.claim(q, chargeField)
			p.claim(&p.quantities[a.b], chargeField)
		case a.b >= 0:
			p.claim(q, dischargeField)
			p.claim(&p.quantities[a.b], burstField)
		case a.role == 0 && k+1 < len(p.anchors) && p.unsaid(&p.anchors[k+1]) && p.nothingBetween(a.last, p.anchors[k+1].first):
			p.claim(q, dischargeField)
			p.claim(&p.quantities[p.anchors[k+1].a], burstField)
			k++
		default:
			p.claim(q, rateField(a.role))
			if n := len(p.claims); n > 0 && p.claims[n-1].start == q.start {
				p.claims[n-1].usual = a.role&usual != 0
			}
		}
	}
}

// inAmps reports whether currents say again, in brackets or behind a slash, what
// the rates before them say: 30C (66A).
func (p *page) inAmps(rates, currents *anchor) bool {
	q := &p.quantities[rates.a]
	if q.other || rates.open || q.field != dischargeField || q.amps || (rates.b >= 0) != (currents.b >= 0) || rates.b >= 0 && rates.role&charge != 0 || rates.slashed {
		return false
	}
	for i := rates.last + 1; i < currents.first; i++ {
		if !p.signAt(i, '(', '/', '=', '[') && p.tokens[i].means.role == 0 {
			return false
		}
	}
	return true
}

// again reports whether a rate in brackets says again what the current before it
// says: 2.2A (1C).
func (p *page) again(current, a *anchor) bool {
	q := &p.quantities[current.a]
	return !q.other && q.field == dischargeField && q.amps && current.b < 0 && a.b < 0 && a.first == current.last+2 && p.signAt(current.last+1, '(', '[', '/', '=')
}

// goesOn reports whether a rate is the highest of a charge rate whose usual one
// stands before it: charge 1C, 2C max.
func (p *page) goesOn(before, a *anchor) bool {
	q := &p.quantities[before.a]
	if q.other || q.field != dischargeField || before.role&charge == 0 && !before.open || before.b >= 0 {
		return false
	}
	highest := p.maxAt(a.first-1) || p.maxAt(a.last+1)
	for i := before.last + 1; i < a.first; i++ {
		if t := &p.tokens[i]; t.line || t.kind == aNumber || t.kind == aWord && !t.means.filler || t.kind == aSign && t.sign != '(' && t.sign != ',' && t.sign != '/' {
			return false
		}
	}
	return highest && !p.tokens[a.first].line
}

func (p *page) maxAt(i int) bool {
	return p.kindAt(i, aWord) && p.tokens[i].means.role&most != 0
}

func (p *page) fieldOf(a *anchor) field { return rateField(a.role) }

func rateField(r role) field {
	switch {
	case r&charge != 0:
		return chargeField
	case r&burst != 0:
		return burstField
	}
	return dischargeField
}

// unsaid reports whether a is a single rate without a role.
func (p *page) unsaid(a *anchor) bool {
	q := &p.quantities[a.a]
	return !q.other && !a.open && q.field == dischargeField && a.role == 0 && a.b < 0 && !q.amps
}

func (p *page) nothingBetween(last, first int) bool {
	for i := last + 1; i < first; i++ {
		if t := &p.tokens[i]; t.kind == aNumber || t.kind == aWord && !t.means.filler || t.kind == aSign && t.sign != '(' && t.sign != ',' && t.sign != '-' {
			return false
		}
	}
	return true
}

// same reports whether two values are one: equal but for rounding.
func same(a, b float64) bool { return math.Abs(a-b) <= 1e-9*math.Abs(b) }

// choose puts the value that all claims of a field agree on into the pack.
// Where they do not agree none goes there, and the contradiction is named.
func (p *page) choose(f field) {
	if p.refuted[f] || p.chosen[f] != 0 && f != seriesField {
		return
	}
	p.chosen[f] = 0
	var differ []int
	highest := p.claimed(f, false)
	for i := range p.claims {
		c := &p.claims[i]
		if c.field != f || c.amps || c.usual && highest {
			continue // what is recommended is not the highest
		}
		if p.chosen[f] == 0 {
			p.chosen[f] = i + 1
			differ = append(differ, i)
			continue
		}
		const most = 16
		if first := &p.claims[p.chosen[f]-1]; (!same(c.value, first.value) || c.chemistry != first.chemistry) && len(differ) < most && !p.listed(differ, c) {
			differ = append(differ, i)
		}
	}
	if len(differ) > 1 {
		p.differ(f, differ)
	}
}

// claimed reports whether a field has a claim that is what is usual, or one that
// is not.
func (p *page) claimed(f field, usual bool) bool {
	for i := range p.claims {
		if c := &p.claims[i]; c.field == f && !c.amps && c.usual == usual {
			return true
		}
	}
	return false
}

func (p *page) listed(list []int, c *claim) bool {
	for _, i := range list {
		if same(p.claims[i].value, c.value) && p.claims[i].chemistry == c.chemistry {
			return true
		}
	}
	return false
}

func (p *page) differ(f field, list []int) {
	p.refuted[f] = true
	p.chosen[f] = 0
	message := "the label gives " + name(f) + " more than once: "
	for n, i := range list {
		const told = 4
		if n == told {
			message += " and others"
			break
		}
		if n > 0 {
			message += ", "
		}
		message += p.says(&p.claims[i])
	}
	p.contradict(Contradiction{
		Kind: DifferentValues, Message: message, Fields: pointers(f), Pieces: p.pieces(list),
		Check: check(f),
	})
}

// says is a claim as a message tells it.
func (p *page) says(c *claim) string {
	value := string(c.chemistry)
	if value == "" {
		value = spec.Plain(c.value)
	}
	return value + " (“" + p.short(c.start, c.end) + "”)"
}

func (p *page) pieces(claims []int) []Piece {
	out := make([]Piece, 0, len(claims))
	for _, i := range claims {
		c := &p.claims[i]
		out = append(out, Piece{p.piece(c.start, c.end), c.start, c.end})
	}
	return out
}

// value is what stands in the pack for a field, 0 where nothing does.
func (p *page) value(f field) float64 {
	if c := p.chosenClaim(f); c != nil {
		return c.value
	}
	return 0
}

func (p *page) chosenClaim(f field) *claim {
	if p.chosen[f] == 0 || p.refuted[f] {
		return nil
	}
	return &p.claims[p.chosen[f]-1]
}

func (p *page) chemistry() spec.Chemistry {
	if c := p.chosenClaim(chemistryField); c != nil {
		return c.chemistry
	}
	return ""
}
