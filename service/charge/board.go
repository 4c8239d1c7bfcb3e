package charge

import (
	"math"

	"github.com/wattkeel/wattkeel/service/cell"
	"github.com/wattkeel/wattkeel/service/rule"
	"github.com/wattkeel/wattkeel/service/spec"
)

// joined is the pack that packs on a parallel board make together: their
// capacities add, their cells stand side by side, and the most careful of
// their limits holds. Packs that do not match are refused by a rule; of such a
// board only the first pack counts here.
func joined(first *spec.Pack, others []spec.Pack, cells *cell.Table) *spec.Pack {
	for i := range others {
		if others[i].Chemistry != first.Chemistry || others[i].CellsSeries != first.CellsSeries {
			return first
		}
	}
	chem := cells.Get(first.Chemistry)
	out := *first
	rate := labelRate(first, chem)
	out.MainLead = nil // each lead carries its own pack's share only
	out.CellVoltagesV = mean(first, others, func(p *spec.Pack) []float64 { return p.CellVoltagesV }, false)
	out.CellResistancesMOhm = mean(first, others, readings, true)
	out.ResistanceMethod = spec.AC1kHz
	for i := range others {
		p := &others[i]
		out.CapacityMAh += p.CapacityMAh
		rate = min(rate, labelRate(p, chem))
		out.MaxDischargeCRate = lower(out.MaxDischargeCRate, p.MaxDischargeCRate)
		out.MeasuredCapacityMAh = sum(out.MeasuredCapacityMAh, out.CapacityMAh-p.CapacityMAh, p.MeasuredCapacityMAh, p.CapacityMAh)
		if out.MassG != nil && p.MassG != nil {
			m := *out.MassG + *p.MassG
			out.MassG = &m
		} else {
			out.MassG = nil
		}
		out.Condition = append(out.Condition[:len(out.Condition):len(out.Condition)], p.Condition...)
		out.TemperatureDegC = worse(out.TemperatureDegC, p.TemperatureDegC)
		if p.Cycles != nil && (out.Cycles == nil || *p.Cycles > *out.Cycles) {
			out.Cycles = p.Cycles
		}
	}
	// A rate that common practice gives stands where nothing lower is printed.
	out.MaxChargeCRate = nil
	if math.Abs(rate-chem.DefaultC.Value) > 1e-9 {
		out.MaxChargeCRate = &rate
	}
	return &out
}

// labelRate is the charge rate of one pack: printed, or by common practice.
func labelRate(p *spec.Pack, chem *cell.Chemistry) float64 {
	a, _ := rule.LabelCurrent(&rule.Facts{Pack: p, Chemistry: chem})
	return a / (p.CapacityMAh / 1000)
}

// worse is the colder of two temperatures below 10 °C, else the warmer.
func worse(a, b *float64) *float64 {
	switch {
	case a == nil:
		return b
	case b == nil:
		return a
	case min(*a, *b) < 10 && *a <= *b, min(*a, *b) >= 10 && *a >= *b:
		return a
	}
	return b
}

// lower is the lower of two rates, or nil, which stands for the careful rate of
// common practice, where one is not printed.
func lower(a, b *float64) *float64 {
	if a == nil || b == nil {
		return nil
	}
	m := min(*a, *b)
	return &m
}

// sum adds two measured capacities, the rated one standing in where only one was
// measured; it is nil where neither was.
func sum(a *float64, ratedA float64, b *float64, ratedB float64) *float64 {
	if a == nil && b == nil {
		return nil
	}
	if a == nil {
		a = &ratedA
	}
	if b == nil {
		b = &ratedB
	}
	s := *a + *b
	return &s
}

// mean joins a list of the packs cell by cell: voltages settle at their mean
// weighted by capacity, resistances in parallel add as conductances. It is nil
// where one pack does not give the list.
func mean(first *spec.Pack, others []spec.Pack, list func(*spec.Pack) []float64, parallel bool) []float64 {
	out := make([]float64, first.CellsSeries)
	weight := 0.0
	add := func(p *spec.Pack) bool {
		values := list(p)
		if len(values) != len(out) {
			return false
		}
		for j, v := range values {
			if parallel {
				out[j] += 1 / v
			} else {
				out[j] += v * p.CapacityMAh
			}
		}
		weight += p.CapacityMAh
		return true
	}
	if !add(first) {
		return nil
	}
	for i := range others {
		if !add(&others[i]) {
			return nil
		}
	}
	for j := range out {
		if parallel {
			out[j] = 1 / out[j]
		} else {
			out[j] /= weight
		}
	}
	return out
}

// readings are a pack's cell resistances as a 1 kHz meter would show them.
func readings(p *spec.Pack) []float64 {
	out := make([]float64, len(p.CellResistancesMOhm))
	for i, r := range p.CellResistancesMOhm {
		out[i] = cell.ToAC1kHz(p.ResistanceMethod, r)
	}
	return out
}
