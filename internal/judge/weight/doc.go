// Package weight turns the area of a slice into its weight: density from the
// flesh's composition, thickness from whatever the kitchen knows of it, and the
// face area behind leaning walls. Areas are in mm², lengths in mm, densities in
// g/cm³, weights in g, angles and temperatures in degrees (°C). Uncertainties
// are standard uncertainties (k = 1) unless a name says otherwise. It never sees
// a photo, never judges a weight, and never invents a thickness.
package weight
