package cell

import (
	"testing"

	"github.com/stretchr/testify/assert"

	"github.com/wattkeel/wattkeel/service/spec"
)

func pack(change func(*spec.Pack)) *spec.Pack {
	p := &spec.Pack{Chemistry: spec.LiPo, CellsSeries: 3, CapacityMAh: 2200}
	if change != nil {
		change(p)
	}
	return p
}

func model(change func(*spec.Pack)) Model {
	return NewModel(NewTable().Get(spec.LiPo), pack(change), Surroundings(nil), spec.FromAssumedEmpty, nil)
}

func fields(m Model) []string {
	var out []string
	for _, a := range m.Assumed {
		out = append(out, a.Field)
	}
	return out
}

func TestModelListsEachAssumptionOnce(t *testing.T) {
	assert.Equal(t, []string{
		"/pack/temperature_degc", "/surroundings/ambient_degc", "/pack/mass_g", "/pack/measured_capacity_mah",
		"/pack/charge_percent", "/pack/cell_resistances_mohm",
	}, fields(model(nil)))
	z, mAh, g, degC := 40.0, 2100.0, 180.0, 22.0
	assert.Equal(t, []string{"/surroundings/ambient_degc"}, fields(model(func(p *spec.Pack) {
		p.ChargePercent, p.MeasuredCapacityMAh, p.MassG, p.TemperatureDegC = &z, &mAh, &g, &degC
		p.CellResistancesMOhm, p.ResistanceMethod = []float64{6, 6, 6}, spec.AC1kHz
	})))
}

func TestModelTakesAMeasurementAsNarrowerThanAnAssumption(t *testing.T) {
	loose := model(nil)
	reading := 0.0
	for _, a := range loose.Assumed {
		if a.Field == "/pack/cell_resistances_mohm" {
			reading = a.Value.(float64)
		}
	}
	tight := model(func(p *spec.Pack) { p.CellResistancesMOhm = []float64{reading, reading, reading} })
	a, b := loose.Groups[0].Ohm, tight.Groups[0].Ohm
	assert.InEpsilon(t, a.Expected, b.Expected, 1e-8, "the reading assumed, measured, is the same model")
	assert.Less(t, a.Low, b.Low)
	assert.Greater(t, a.High, b.High)
}

// Published: R1/R0 and the methods of reading (see package tests/reference);
// here only that a slower reading counts for less that is still to come.
func TestModelKnowsHowAResistanceWasRead(t *testing.T) {
	ohm := func(m spec.ResistanceMethod) float64 {
		return model(func(p *spec.Pack) { p.CellResistancesMOhm, p.ResistanceMethod = []float64{10, 10, 10}, m }).Groups[0].Ohm.Expected
	}
	assert.Greater(t, ohm(spec.AC1kHz), ohm(spec.DCShort))
	assert.Greater(t, ohm(spec.DCShort), ohm(spec.DC10s))
	assert.InEpsilon(t, 0.017, ohm(spec.DC10s), 1e-9)
	assert.Equal(t, ohm(spec.AC1kHz), ohm(""))
}

func TestModelRaisesTheResistanceOfAColdPack(t *testing.T) {
	at := func(degC float64) float64 {
		return model(func(p *spec.Pack) { p.TemperatureDegC = &degC }).Groups[0].Ohm.Expected
	}
	assert.InDelta(t, 2.1, at(0)/at(25), 0.05, "from memory: about double at 0 °C")
}

// A deeply discharged cell rests below charge 0; where the curve is flat, cells
// are not told apart by millivolts.
func TestModelReadsTheStartOffTheCurve(t *testing.T) {
	m := model(func(p *spec.Pack) { p.CellVoltagesV = []float64{2.8, 3.0, 3.793} })
	assert.Negative(t, m.Groups[0].Charge.Expected)
	assert.Zero(t, m.Groups[1].Charge.Expected)
	assert.InDelta(t, 0.5, m.Groups[2].Charge.Expected, 0.005, "3.793 V at half charge: Ai et al. 2020, by electrode balance")
	flat := NewModel(NewTable().Get(spec.LiFePO4), &spec.Pack{Chemistry: spec.LiFePO4, CellsSeries: 2, CapacityMAh: 2500, CellVoltagesV: []float64{3.266, 3.270}}, Surroundings(nil), spec.FromAssumedEmpty, nil)
	assert.Equal(t, flat.Groups[0], flat.Groups[1])
	assert.Greater(t, flat.Groups[0].Charge.High-flat.Groups[0].Charge.Low, Flat)
}
