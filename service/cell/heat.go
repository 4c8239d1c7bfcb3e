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

// newThermal builds the lump of a pack of the given mass. Its area is that of
// a box with edges 4.5 : 1.5 : 1, the shape of the common 3-cell stick
// (common practice), of its volume: 7.14 V^(2/3).
func newThermal(massKg, ambientDegC, startDegC float64) Thermal {
	volume := massKg / densityKgM3
	area := boxArea * math.Pow(volume/boxVolume, 2.0/3.0)
	return Thermal{
		HeatCapacityJK: massKg * specificHeatJKgK,
		ConductanceWK:  area * stillAirWM2K,
		AmbientDegC:    ambientDegC,
		StartDegC:      startDegC,
	}
}

// TimeConstant is m·c/(h·A) in seconds.
func (t Thermal) TimeConstant() float64 { return t.HeatCapacityJK / t.ConductanceWK }
