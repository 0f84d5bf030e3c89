package mat

// Limits of how the mat lies in a photo: up to the warning the numbers keep their
// interval, beyond the refusal they do not. Our setting, from what rendered trays
// show. The page that guides the camera holds to the warnings.
const (
	WarnPxPerMM, RefusePxPerMM = 2.5, 1.6
	WarnTilt, RefuseTilt       = 28.0, 35.0 // degrees
	WarnBlurMM, RefuseBlurMM   = 0.7, 1.6   // rise of a tag's step
)

// UsualFocal is the focal length of a phone's main camera by the longer side of its
// picture, for who knows no more: the sensor is 4 : 3, as most are, and a picture of
// another shape is cut from it along the shorter side.
const UsualFocal = defaultF35 / diagonal35 * 5 / 4
