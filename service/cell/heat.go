package cell

import "math"

// Thermal is a pack as one lump: m·c·dT/dt = P − h·A·(T − T_ambient). The
// reversible heat of the electrodes is left out: it is small beside the Joule
// heat at hobby rates and changes sign on the way.
type Thermal struct {
	HeatCapacityJK float64 // m·c
	ConductanceWK  float64 // h·A
	AmbientDegC    float64
	StartDegC      float64
}

const (
	specificHeatJKgK = 1000.0 // measured pouch and cylindrical cells: 800 to 1100 J/(kg K), published summary
	stillAirWM2K     = 7.5    // natural convection, 5 to 10 W/(m² K), from memory
	densityKgM3      = 2000.0 // packs of any chemistry, about 2 g/cm³, from memory
)

// newThermal builds the lump of a pack of the given mass. Its area is that of
// a box with edges 4.5 : 1.5 : 1, the shape of the common 3-cell stick
// (common practice), of its volume: 7.14 V^(2/3).
func newThermal(massKg, ambientDegC, startDegC float64) Thermal {
	volume := massKg / densityKgM3
	const a, b, c = 4.5, 1.5, 1.0
	area := 2 * (a*b + a*c + b*c) * math.Pow(volume/(a*b*c), 2.0/3.0)
	return Thermal{
		HeatCapacityJK: massKg * specificHeatJKgK,
		ConductanceWK:  area * stillAirWM2K,
		AmbientDegC:    ambientDegC,
		StartDegC:      startDegC,
	}
}

// TimeConstant is m·c/(h·A) in seconds.
func (t Thermal) TimeConstant() float64 { return t.HeatCapacityJK / t.ConductanceWK }
