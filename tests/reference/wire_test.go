package reference_test

import (
	"fmt"
	"math"
	"testing"

	"github.com/wattkeel/wattkeel/service/cell"
)

func gauge() source {
	return source{"ASTM B258: 0.127 mm · 92^((36 − n)/39)", read}
}

func copper() source {
	return source{"IEC 60028 (1925): 1/58 Ω·mm²/m at 20 °C, 0.00393 /K", read}
}

// wireTable are the published diameters, areas and resistances of section 5.
func wireTable() []struct{ awg, mm, mm2, r20, r70, per1000ft float64 } {
	return []struct{ awg, mm, mm2, r20, r70, per1000ft float64 }{
		{8, 3.2636, 8.366, 2.061, 2.466, 0.6282},
		{10, 2.5882, 5.261, 3.277, 3.921, 0.9989},
		{12, 2.0525, 3.309, 5.211, 6.235, 1.588},
		{14, 1.6277, 2.081, 8.286, 9.914, 2.525},
		{16, 1.2908, 1.309, 13.174, 15.763, 4.016},
		{18, 1.0237, 0.823, 20.948, 25.065, 6.385},
		{20, 0.8118, 0.518, 33.309, 39.854, 10.15},
		{22, 0.6438, 0.326, 52.963, 63.371, 16.14},
	}
}

// wireRows are check 5a and the resistances, for a table read off by gauges.
func wireRows(off int) []row {
	textbook := source{"Lessons in Electric Circuits, wire table in inches", read}
	inches := []float64{0.1285, 0.1019, 0.08081, 0.06408, 0.05082, 0.04030, 0.03196}
	digits := func(rel float64) tol { return tol{rel: rel, why: "the digits the table prints"} }
	var rows []row
	for i, x := range wireTable() {
		n := int(x.awg) + off
		d := cell.WireDiameter(n)
		area := math.Pi / 4 * d * d * 1e6
		rows = append(rows,
			num("5a", fmt.Sprintf("%g AWG, mm", x.awg), x.mm, d*1e3, tol{rel: 1e-3, why: "as published beside the value"}, gauge()),
			num("5a", fmt.Sprintf("%g AWG, mm²", x.awg), x.mm2, area, tol{abs: 0.00051, why: "printed to 3 decimals"}, gauge()),
			num("5a", fmt.Sprintf("%g AWG, mΩ/m at 20 °C", x.awg), x.r20, cell.WireResistance(n, 20)*1e3, digits(3e-4), copper()),
			num("5a", fmt.Sprintf("%g AWG, mΩ/m at 70 °C", x.awg), x.r70, cell.WireResistance(n, 70)*1e3, digits(3e-4), copper()),
			num("5a", fmt.Sprintf("%g AWG, Ω per 1000 ft at 20 °C", x.awg), x.per1000ft, cell.WireResistance(n, 20)*304.8, digits(6e-4), source{"a stored wire-resistance table", read}),
		)
		if i < len(inches) {
			rows = append(rows, num("5a", fmt.Sprintf("%g AWG, inches", x.awg), inches[i], d/0.0254, digits(5e-4), textbook))
		}
	}
	return rows
}

// leadRows are checks 5b to 5d.
func leadRows(awg int, hot float64) []row {
	drop := cell.WireResistance(awg, 20) * 0.30 * 60
	rows := []row{
		num("5b", "12 AWG, 0.15 m out and back, 60 A, 20 °C: mV", 93.8, drop*1e3, tol{rel: 0.01, why: "as published beside the value"}, copper()),
		num("5b", "the same: W", 5.63, drop*60, tol{rel: 0.01, why: "as published beside the value"}, copper()),
	}
	area := func(n int) float64 { return cell.WireDiameter(n) * cell.WireDiameter(n) }
	for n := 8; n <= 20; n += 4 {
		rows = append(rows,
			num("5c", fmt.Sprintf("area of %d AWG over that of %d", n, n+3), 2.005, area(n-12+awg)/area(n+3), tol{rel: 1e-3, why: "as published beside the value"}, gauge()),
			num("5d", fmt.Sprintf("%d AWG, resistance at 70 °C over 20 °C", n), 1.1965, cell.WireResistance(n, hot)/cell.WireResistance(n, 20), tol{rel: 1e-3, why: "as published beside the value"}, copper()))
	}
	return rows
}

func TestWireTable(t *testing.T) {
	checkTable(t, "wire by gauge", wireRows(0))
	mustFail(t, "one gauge off", 47, wireRows(1))
	checkTable(t, "leads", leadRows(12, 70))
	mustFail(t, "13 AWG for 12, and 72 °C for 70", 10, leadRows(13, 72))
}

// ratingByBalance is the current at which a wire in still air holds hot °C,
// worked out from the conditions the service states (30 to 80 °C, insulation
// of twice the conductor's diameter, 12 W/(m²·K)) with constants written here:
// the heat a meter of wire makes, I²·ρ/A, against what its surface gives off,
// h·π·D·ΔT.
func ratingByBalance(n int, film, hot float64) float64 {
	d := 0.005 * 0.0254 * math.Pow(92, float64(36-n)/39)
	rho := 1.7241e-8 * (1 + 0.00393*(hot-20))
	area := math.Pi * d * d / 4
	return math.Sqrt(film * math.Pi * 2 * d * (hot - 30) * area / rho)
}

// heatBalanceRows hold the stated rating against that balance. There is no
// open standard of amperes by gauge alone: only the service's own statement can
// be checked.
func heatBalanceRows(film float64) []row {
	from := source{"Joule heat against surface loss, on ASTM B258 and IEC 60028 copper; the film coefficient is from memory", computed}
	var rows []row
	for _, n := range []int{8, 10, 12, 14, 16, 18, 20, 22, 26, 30} {
		rows = append(rows, num("5e", fmt.Sprintf("%d AWG, A for hours", n), ratingByBalance(n, film, 80), cell.WireCurrent(n),
			tol{rel: 1e-4, why: "1/58 is written 0.017241 here"}, from))
	}
	// The rating grows with the 3/2 power of the diameter: 6 gauges are twice
	// the diameter nearly.
	return append(rows, num("5e", "12 AWG over 18 AWG, A", math.Pow(92, 6.0/39*1.5), cell.WireCurrent(12)/cell.WireCurrent(18), exactly(), gauge()))
}

func TestWireRatingIsItsOwnHeatBalance(t *testing.T) {
	checkTable(t, "what a wire carries", heatBalanceRows(12))
	mustFail(t, "another film coefficient", 10, heatBalanceRows(12.1))
}
