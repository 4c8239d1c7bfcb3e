package label_test

import (
	"fmt"
	"strconv"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"

	"github.com/wattkeel/wattkeel/service/cell"
	"github.com/wattkeel/wattkeel/service/label"
	"github.com/wattkeel/wattkeel/service/spec"
)

// printer prints a pack as a label might.
type printer struct {
	t     *rapid.T
	comma bool
}

func (p *printer) one(label string, of ...string) string {
	return rapid.SampledFrom(of).Draw(p.t, label)
}

// number prints a number with at most two decimals.
func (p *printer) number(x float64) string {
	text := strconv.FormatFloat(x, 'f', -1, 64)
	if p.comma {
		text = strings.ReplaceAll(text, ".", ",")
	}
	return text
}

func (p *printer) unit(label, value string, units ...string) string {
	return value + p.one(label+" space", "", " ", "\u00a0") + p.one(label, units...)
}

// capacity prints milliampere hours, with or without a sign between thousands,
// or ampere hours.
func (p *printer) capacity(mAh int) string {
	if mAh%10 == 0 && rapid.Bool().Draw(p.t, "in Ah") {
		return p.unit("ah", p.number(float64(mAh)/1000), "Ah", "AH", "A·h", "amp hours")
	}
	text := strconv.Itoa(mAh)
	if n := len(text); n > 3 {
		text = text[:n-3] + p.one("thousands", "", ".", ",", "'", "\u2009") + text[n-3:]
	}
	return p.unit("mah", text, "mAh", "MAH", "mah", "mA h")
}

func (p *printer) chemistry(c spec.Chemistry) string {
	return p.one("chemistry", map[spec.Chemistry][]string{
		spec.LiPo:    {"LiPo", "LIPO", "Li-Po", "Li‑Po", "Li Po", "lithium polymer", "Lithium-Polymer", "Li-Polymer", "LiPoly"},
		spec.LiHV:    {"LiHV", "Li-HV", "HV LiPo", "LiPo HV", "HV Li-Po", "high voltage LiPo", "High-Voltage Lithium Polymer"},
		spec.LiIon:   {"Li-ion", "LiIon", "LI-ION", "Lithium-Ion", "lithium ion"},
		spec.LiFePO4: {"LiFePO4", "LiFePO₄", "LiFe", "Li-Fe", "LFP", "LiFePo", "Lithium Iron Phosphate"},
		spec.NiMH:    {"NiMH", "Ni-MH", "nimh", "Nickel Metal Hydride", "nickel-metal hydride"},
	}[c]...)
}

// rates prints the discharge rates in one of the ways of the trade.
func (p *printer) rates(d, b *float64) []string {
	c := func(x float64) string { return p.number(x) + p.one("C", "C", "c", " C") }
	switch {
	case d == nil:
		return nil
	case b == nil:
		return []string{p.one("steady", c(*d), c(*d)+" continuous", "discharge rate: "+c(*d), "max. discharge "+c(*d), c(*d)+" cont.")}
	}
	pair := []string{
		c(*d) + "/" + c(*b), p.number(*d) + "/" + c(*b), c(*d) + " (" + c(*b) + " burst)", c(*d) + " cont. " + c(*b) + " burst",
		"continuous " + c(*d) + " burst " + c(*b), c(*d) + " continuous, " + c(*b) + " burst", "burst/continuous: " + c(*b) + "/" + c(*d),
	}
	if *d < *b {
		pair = append(pair, p.number(*d)+"-"+c(*b), c(*d)+" – "+c(*b), p.number(*d)+" to "+c(*b))
	}
	return []string{p.one("pair", pair...)}
}

// A pack that is printed in any of the ways of the trade, in any order, is read
// back as it was.
func TestAPrintedPackIsReadBack(t *testing.T) {
	r := reader()
	table := cell.NewTable()
	rapid.Check(t, func(t *rapid.T) {
		p := &printer{t: t, comma: rapid.Bool().Draw(t, "decimal comma")}
		want := drawPack(t, table)
		parts := []string{
			p.chemistry(want.Chemistry),
			p.unit("cells", strconv.Itoa(*want.CellsSeries), "S", "s", "cell", "cells"),
			p.capacity(int(*want.CapacityMAh)),
		}
		if n := want.CellsParallel; n != nil {
			parts[1] = fmt.Sprintf("%dS%dP", *want.CellsSeries, *n)
		}
		parts = append(parts, p.rates(want.MaxDischargeCRate, want.BurstDischargeCRate)...)
		if c := want.MaxChargeCRate; c != nil {
			parts = append(parts, p.one("charge", "charge rate "+p.number(*c)+"C", "max charge: "+p.number(*c)+" C", p.number(*c)+"C charge", "charge "+p.number(*c)+"C max"))
		}
		if v := want.NominalVoltageV; v != nil {
			parts = append(parts, p.unit("volt", p.number(*v), "V", "v", "volt", "Volts", "VDC"))
		}
		if e := want.EnergyWh; e != nil {
			parts = append(parts, p.unit("energy", p.number(*e), "Wh", "WH", "W·h", "watt hours"))
		}
		if m := want.MassG; m != nil {
			parts = append(parts, p.unit("mass", p.number(*m), "g", "grams"))
		}
		if w := want.MainLead; w != nil {
			parts = append(parts, p.one("gauge", "14AWG", "14 AWG", "AWG14", "AWG 14"))
		}
		if rapid.Bool().Draw(t, "noise") {
			parts = append(parts, p.one("noise", "0-45°C", "105x34x24mm", "2 pcs", "harbour tug", "TQ-77", "made 2025-03-01", "!!!"))
		}
		parts = rapid.Permutation(parts).Draw(t, "order")
		text := strings.Join(parts, p.one("between", ", ", "; ", " | ", "\n", " · "))
		a := r.Read(&label.Request{Text: text})
		require.Equal(t, want, a.Pack, "%q", text)
		require.Empty(t, a.Contradictions, "%q", text)
		require.Empty(t, a.Missing, "%q", text)
		require.Empty(t, a.Unread, "%q", text)
		sound(t, text, a)
	})
}

func drawPack(t *rapid.T, table *cell.Table) label.Pack {
	chemistry := spec.Chemistry(rapid.SampledFrom(spec.LiPo.Enum()).Draw(t, "chemistry"))
	cells := rapid.IntRange(1, 14).Draw(t, "cells")
	mAh := float64(rapid.OneOf(rapid.IntRange(5, 99), rapid.IntRange(100, 4999)).Draw(t, "tens")) * 10 // from 50,000 mAh on a point may be either sign
	want := label.Pack{Chemistry: chemistry, CellsSeries: &cells, CapacityMAh: &mAh}
	maybe := func(label string, lo, hi int, scale float64) *float64 {
		if !rapid.Bool().Draw(t, "has "+label) {
			return nil
		}
		x := float64(rapid.IntRange(lo, hi).Draw(t, label)) / scale
		return &x
	}
	if rapid.Bool().Draw(t, "has parallel") {
		n := rapid.IntRange(1, 4).Draw(t, "parallel")
		want.CellsParallel = &n
	}
	want.MaxChargeCRate = maybe("charge", 1, 4, 2) // what every chemistry is sold for
	if want.MaxDischargeCRate = maybe("steady", 5, 100, 1); want.MaxDischargeCRate != nil {
		if more := maybe("burst", 0, 100, 1); more != nil {
			b := *want.MaxDischargeCRate + *more
			want.BurstDischargeCRate = &b
		}
	}
	nominal := table.Get(chemistry).NominalV.Value
	if rapid.Bool().Draw(t, "has voltage") {
		v := spec.Round9(nominal * float64(cells))
		want.NominalVoltageV = &v
	}
	if rapid.Bool().Draw(t, "has energy") {
		if e := roundTo(nominal*float64(cells)*mAh/1000, 2); e >= 1 {
			want.EnergyWh = &e
		}
	}
	if rapid.Bool().Draw(t, "has mass") {
		// As heavy as such packs are, so that the rules have nothing to say.
		g := roundTo(nominal*float64(cells)*mAh*3.6/table.Get(chemistry).EnergyJKg.Value*1000, 0)
		if g >= 1 && g <= 20000 {
			want.MassG = &g
		}
	}
	if rapid.Bool().Draw(t, "has gauge") {
		want.MainLead = &label.Lead{WireAWG: 14}
	}
	return want
}

func roundTo(x float64, places int) float64 {
	y, err := strconv.ParseFloat(strconv.FormatFloat(x, 'f', places, 64), 64)
	if err != nil {
		panic(err)
	}
	return y
}
