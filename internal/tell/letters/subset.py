import sys
from fontTools import subset
chars=set(range(0x20,0x7f))|set(range(0xa0,0x180))|set(range(0x2010,0x2030))|{0x2032,0x2033,0x2030,0x203b,0x2103,0x2190,0x2191,0x2192,0x2193,0x2212,0x221a,0x221e,0x2248,0x2260,0x2264,0x2265,0x2300,0x25a0,0x25cb,0x25cf,0x2605,0xb0,0xb1,0xb2,0xb3,0xb7,0xd7,0x394,0x3b8,0x3c6,0x3c1,0x3c3,0x3bc}
for hi in range(0xa1,0xff):
    for lo in range(0xa1,0xff):
        try: c=bytes([hi,lo]).decode('euc_jp')
        except UnicodeDecodeError: continue
        if len(c)==1: chars.add(ord(c))
# Names written with what JIS X 0208 lacks, common practice
for c in '髙﨑德彌濵栁瀨祐邊邉祥神福隆晴淸靑黑眞愼顯惠橫增曾禮淵': chars.add(ord(c))
f=sys.argv[1]; out=sys.argv[2]
o=subset.Options(); o.layout_features=[]; o.hinting=False; o.name_IDs=['*']; o.notdef_outline=True; o.glyph_names=False; o.drop_tables+=['GSUB','GPOS','vhea','vmtx','VORG','BASE','gasp','mort','morx']
font=subset.load_font(f,o)
s=subset.Subsetter(o); s.populate(unicodes=chars); s.subset(font)
subset.save_font(font,out,o)
print(len(font.getGlyphOrder()), 'glyphs', len(chars),'asked', len(font.getBestCmap()))
