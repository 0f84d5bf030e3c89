package photo

import (
	"bytes"
	"image"
	"image/color"
	"image/draw"
	"strings"
	"time"

	"github.com/bep/imagemeta"
	"github.com/disintegration/imaging"
	xdraw "golang.org/x/image/draw"
)

// meta is what the EXIF block tells that matters here.
type meta struct {
	orientation int // 1 to 8 as in EXIF (CIPA DC-008), 1 when not recorded
	f35         float64
	maker       string
	model       string
	taken       time.Time
}

// readMeta reads the EXIF block; a damaged or missing one is no reason to
// refuse a photo.
func readMeta(data []byte, kind string) meta {
	m := meta{orientation: 1}
	format := map[string]imagemeta.ImageFormat{"JPEG": imagemeta.JPEG, "PNG": imagemeta.PNG, "HEIC": imagemeta.HEIF}[kind]
	take := func(t imagemeta.TagInfo) error {
		switch t.Tag {
		case "Make":
			m.maker = word(t.Value)
		case "Model":
			m.model = word(t.Value)
		case "DateTimeOriginal":
			m.taken, _ = time.Parse("2006:01:02 15:04:05", word(t.Value)) // one that is no date stays zero
		case "Orientation":
			if v, ok := number(t.Value); ok && v >= 1 && v <= 8 {
				m.orientation = int(v)
			}
		case "FocalLengthIn35mmFormat", "FocalLengthIn35mmFilm":
			// 8 to 400 mm spans every phone and tripod lens; beyond is junk.
			if v, ok := number(t.Value); ok && v >= 8 && v <= 400 {
				m.f35 = v
			}
		}
		return nil
	}
	_ = func() (err error) {
		defer guard(&err)
		_, err = imagemeta.Decode(imagemeta.Options{
			R: bytes.NewReader(data), ImageFormat: format, Sources: imagemeta.EXIF, HandleTag: take,
			Warnf: func(string, ...any) {},
		})
		return err
	}()
	if kind == "HEIC" {
		m.orientation = 1 // the decoder has applied the container's own turn
	}
	return m
}

// longestWord of a camera's name, letters: more is junk.
const longestWord = 60

// word is a tag's text, one line of it, cut to what a name can be.
func word(v any) string {
	s, _ := v.(string)
	s = strings.Join(strings.Fields(strings.ToValidUTF8(strings.ReplaceAll(s, "\x00", " "), "")), " ")
	if r := []rune(s); len(r) > longestWord {
		s = string(r[:longestWord])
	}
	return s
}

// phone is maker and model; makers that begin the model's name are said once.
func (m meta) phone() string {
	if strings.HasPrefix(strings.ToLower(m.model), strings.ToLower(m.maker)) {
		return m.model
	}
	return strings.TrimSpace(m.maker + " " + m.model)
}

func number(v any) (float64, bool) {
	switch x := v.(type) {
	case uint16:
		return float64(x), true
	case uint32:
		return float64(x), true
	case int:
		return float64(x), true
	case float64:
		return x, true
	}
	return 0, false
}

// upright keeps the pixels as stored for the four turns, since the tags tell
// where up is and turning 12 megapixels costs time; a mirrored photo is
// mirrored back, since no tag can be read in a mirror.
func upright(img image.Image, m meta) *Picture {
	switch m.orientation {
	case 2, 4, 5, 7:
		img = imaging.FlipH(img)
	}
	return &Picture{YCbCr: toYCbCr(img), F35: m.f35, Quarters: quarters[m.orientation], Phone: m.phone(), Taken: m.taken}
}

// quarters are the turns clockwise that each orientation of CIPA DC-008 asks for, after a
// mirrored one was mirrored back left to right.
var quarters = [9]int{3: 2, 4: 2, 5: 3, 6: 1, 7: 1, 8: 3}

// Small is the whole photo upright, its longer side longest px at most.
func (p *Picture) Small(longest int) image.Image {
	from := p.YCbCr.Rect
	scale := min(1, float64(longest)/float64(max(from.Dx(), from.Dy())))
	to := image.NewRGBA(image.Rect(0, 0, max(1, int(scale*float64(from.Dx()))), max(1, int(scale*float64(from.Dy())))))
	xdraw.ApproxBiLinear.Scale(to, to.Rect, p.YCbCr, from, xdraw.Src, nil)
	switch p.Quarters { // imaging turns the other way round
	case 1:
		return imaging.Rotate270(to)
	case 2:
		return imaging.Rotate180(to)
	case 3:
		return imaging.Rotate90(to)
	}
	return to
}

// toYCbCr converts whatever the decoder gave; a colour JPEG passes through.
func toYCbCr(img image.Image) *image.YCbCr {
	switch src := img.(type) {
	case *image.YCbCr:
		return src
	case *image.Gray:
		return grayYCbCr(src)
	}
	b := img.Bounds()
	rgba := image.NewRGBA(image.Rect(0, 0, b.Dx(), b.Dy()))
	draw.Draw(rgba, rgba.Rect, image.White, image.Point{}, draw.Src)
	draw.Draw(rgba, rgba.Rect, img, b.Min, draw.Over)
	out := image.NewYCbCr(rgba.Rect, image.YCbCrSubsampleRatio444)
	for i := range out.Y {
		p := rgba.Pix[4*i:]
		out.Y[i], out.Cb[i], out.Cr[i] = color.RGBToYCbCr(p[0], p[1], p[2])
	}
	return out
}

func grayYCbCr(g *image.Gray) *image.YCbCr {
	out := image.NewYCbCr(image.Rect(0, 0, g.Rect.Dx(), g.Rect.Dy()), image.YCbCrSubsampleRatio420)
	for y := range g.Rect.Dy() {
		copy(out.Y[y*out.YStride:], g.Pix[y*g.Stride:y*g.Stride+g.Rect.Dx()])
	}
	for i := range out.Cb {
		out.Cb[i], out.Cr[i] = 128, 128
	}
	return out
}
