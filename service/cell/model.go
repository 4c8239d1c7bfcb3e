package cell

import (
	"github.com/wattkeel/wattkeel/service/spec"
)

// Group is one series group as kernels compute on it.
type Group struct {
	Charge Estimate // state of charge at the start, 0 to 1
	Ohm    Estimate // quasi-steady resistance
}

// Place is where a question says how warm the surroundings are.
type Place struct {
	AmbientDegC *float64 // nil where it does not say
	At          string   // the JSON Pointer at which it can
}

// Surroundings is the place of a question that describes the surroundings; s
// may be nil.
func Surroundings(s *spec.Surroundings) Place {
	p := Place{At: "/surroundings/ambient_degc"}
	if s != nil {
		p.AmbientDegC = s.AmbientDegC
	}
	return p
}

// Model is a pack in SI units: always valid, whatever the document left out.
type Model struct {
	Chemistry *Chemistry
	Groups    []Group  // one for each series group, in the order of the cells
	Coulomb   Estimate // capacity of each group
	RatedC    float64  // rated capacity, in coulombs: rates refer to it
	From      spec.StartFrom
	Ambient   Place // where the surroundings were given, or can be
	Thermal   Thermal
	Measured  bool           // the resistances were measured
	Leveled   bool           // the cells were taken as equal, because their voltages cannot tell them apart
	Assumed   []spec.Assumed // what the document left out
}

// NewModel is the only step from documents to SI units. The pack has passed
// spec.Validator. Where the document does not tell the state of charge, unknown,
// which begins with assumed, says what it is taken as. What it assumes is appended
// to assumed, with the pack at /pack.
func NewModel(c *Chemistry, p *spec.Pack, place Place, unknown spec.StartFrom, assumed []spec.Assumed) Model {
	m := Model{
		Chemistry: c,
		Groups:    make([]Group, p.CellsSeries),
		RatedC:    p.CapacityMAh / 1000 * ampHour,
		Ambient:   place,
		Assumed:   assumed,
	}
	m.setThermal(p, place)
	m.setCapacity(p)
	m.setStart(p, unknown)
	m.setResistance(p)
	return m
}

func (m *Model) assume(field string, value any, why string, source spec.Source) {
	m.Assumed = append(m.Assumed, spec.Assumed{Field: field, Value: value, Why: why, Source: source})
}

func (m *Model) setThermal(p *spec.Pack, place Place) {
	ambient, known := roomDegC, place.AmbientDegC != nil
	if known {
		ambient = *place.AmbientDegC
	}
	start := ambient
	switch {
	case p.TemperatureDegC != nil:
		start = *p.TemperatureDegC
		if !known {
			ambient = start
			m.assume(place.At, spec.Round9(ambient), "taken as the pack's own temperature: a rested pack has that of the room", spec.Practice("a rested pack has the temperature of the room"))
		}
	case known:
		m.assume("/pack/temperature_degc", spec.Round9(start), "taken as that of the room: a rested pack has it", spec.Practice("a rested pack has the temperature of the room"))
	default:
		m.assume("/pack/temperature_degc", roomDegC, "room temperature", spec.Practice("room temperature is 20 °C"))
		m.assume(place.At, roomDegC, "room temperature", spec.Practice("room temperature is 20 °C"))
	}
	var kg float64
	if p.MassG != nil {
		kg = *p.MassG / 1000
	} else {
		e := m.Chemistry.EnergyJKg
		kg = float64(p.CellsSeries) * m.Chemistry.NominalV.Value * m.RatedC / e.Value
		m.assume("/pack/mass_g", spec.Round9(kg*1000), "from the energy by a typical specific energy", e.Source)
	}
	m.Thermal = newThermal(kg, ambient, start)
}

func (m *Model) setCapacity(p *spec.Pack) {
	if p.MeasuredCapacityMAh != nil {
		m.Coulomb = spread(*p.MeasuredCapacityMAh/1000*ampHour, measuredLow, measuredHigh)
		return
	}
	m.Coulomb = spread(m.RatedC, labelLow, labelHigh)
	m.assume("/pack/measured_capacity_mah", spec.Round9(p.CapacityMAh), "taken as the label says; packs hold 85 to 105 % of it", spec.Practice("packs hold 85 to 105 % of the label until worn"))
}

func (m *Model) setStart(p *spec.Pack, unknown spec.StartFrom) {
	c := m.Chemistry
	var at func(i int) Estimate
	switch {
	case p.ChargePercent != nil:
		m.From = spec.FromChargePercent
		z := *p.ChargePercent / 100
		e := Estimate{max(z-guessOff, 0), z, min(z+guessOff, 1)}
		at = func(int) Estimate { return e }
	case len(p.CellVoltagesV) > 0 && c.Curve != nil:
		m.From = spec.FromCellVoltages
		at = func(i int) Estimate { return m.fromVoltage(p.CellVoltagesV[i]) }
	case p.PackVoltageV != nil && c.Curve != nil:
		m.From = spec.FromPackVoltage
		e := m.fromVoltage(*p.PackVoltageV / float64(p.CellsSeries))
		at = func(int) Estimate { return e }
	default:
		m.From = unknown
		e, why, source := guess(unknown)
		at = func(int) Estimate { return e }
		if len(p.CellVoltagesV) > 0 || p.PackVoltageV != nil {
			why = "a nimh voltage does not tell the charge: " + why
		}
		m.assume("/pack/charge_percent", spec.Round9(e.Expected*100), why, source)
	}
	for i := range m.Groups {
		m.Groups[i].Charge = at(i)
	}
	if m.From == spec.FromCellVoltages {
		m.levelWhereFlat(p.CellVoltagesV)
	}
}

// guess is the state of charge taken where nothing tells it, and why.
func guess(unknown spec.StartFrom) (e Estimate, why string, source spec.Source) {
	switch unknown {
	case spec.FromAssumedFull:
		return Estimate{chargedLeast, 1, 1}, "taken as just charged; a charge that ends at a tenth of 1 C leaves a few percent out", spec.Practice("a charged pack holds 95 to 100 %")
	case spec.FromAssumedAny:
		return Estimate{0, 1, 1}, "taken as full, the longest way to storage charge, though it may hold anything: measure it first", spec.Practice("a pack of which nothing is known may be full")
	case spec.FromAssumedLanded:
		return Estimate{landedLeast, landedLeast, landedFull}, "taken as put away after use, the shortest time until it is unsafe", spec.Practice("a pack is landed with 20 to 30 % left")
	}
	return Estimate{0, 0, landedFull}, "taken as empty, the longest charge; a pack is seldom put away above 30 % after use", spec.Practice("a pack is landed with 20 to 30 % left")
}

// Start is the state of charge at the start, for an answer. A deeply discharged
// cell holds nothing.
func (m *Model) Start() spec.Start {
	list := make([]float64, len(m.Groups))
	sum := 0.0
	for i := range m.Groups {
		z := max(m.Groups[i].Charge.Expected, 0)
		list[i] = spec.Round9(z * 100)
		sum += z
	}
	return spec.Start{From: m.From, ChargePercent: spec.Round9(sum / float64(len(list)) * 100), CellChargesPercent: list}
}

// OhmRange is the range of the common factor of the resistances.
func (m *Model) OhmRange() (low, high float64) {
	r := m.Groups[0].Ohm
	return r.Low / r.Expected, r.High / r.Expected
}

// Flat is how wide a range of charge, as a fraction, one rested voltage may
// stand for before it says too little to tell cells apart.
const Flat = 0.25

// levelWhereFlat takes the cells as equal where the curve is so flat that their
// voltages cannot tell them apart: a few millivolts there would make hours of
// balancing out of the meter's last digit.
func (m *Model) levelWhereFlat(volts []float64) {
	sum := 0.0
	for _, v := range volts {
		sum += v
	}
	e := m.fromVoltage(sum / float64(len(volts)))
	if e.High-e.Low <= Flat {
		return
	}
	for _, v := range volts { // one steep cell is enough to tell
		if x := m.fromVoltage(v); x.High-x.Low <= Flat {
			return
		}
	}
	m.Leveled = true
	for i := range m.Groups {
		m.Groups[i].Charge = e
	}
}

func (m *Model) fromVoltage(v float64) Estimate {
	c, off := m.Chemistry.Curve, m.Chemistry.CurveFrom.Value
	return Estimate{c.Charge(v - off), c.Charge(v), c.Charge(v + off)}
}

func (m *Model) setResistance(p *spec.Pack) {
	method := p.ResistanceMethod
	if len(p.CellResistancesMOhm) > 0 {
		m.Measured = true
		if method == "" {
			method = spec.AC1kHz
			m.assume("/pack/resistance_method", string(method), "what a hobby meter or charger shows", spec.Practice("hobby meters measure at 1 kHz"))
		}
		for i := range m.Groups {
			m.Groups[i].Ohm = quasiSteady(m.Chemistry, method, p.CellResistancesMOhm[i]/1000)
		}
		return
	}
	ohm, low, high, why := acReading(m.Chemistry, p, m.RatedC/ampHour, m.Thermal.StartDegC)
	e := spread(ohm*(1+m.Chemistry.PolarFactor.Value), low, high)
	for i := range m.Groups {
		m.Groups[i].Ohm = e
	}
	if m.Chemistry.Curve == nil {
		return // nothing in a nimh plan depends on it
	}
	m.assume("/pack/cell_resistances_mohm", spec.Round9(ohm*1000), why, m.Chemistry.Typical.Source)
}
