package serve

import "maps"

// words are all texts of the pages, by key: the tables of this package put
// together.
var words = together(generalWords, traineeWords, resultWords, secondWords, wrongWords, classWords, chefWords)

func together(tables ...map[string]inBoth) map[string]inBoth {
	out := map[string]inBoth{}
	for _, t := range tables {
		maps.Copy(out, t)
	}
	return out
}

// generalWords are on every page, or where a person comes in.
var generalWords = map[string]inBoth{
	"skip":           {"Skip to the content", "本文へ"},
	"menu":           {"Menu", "メニュー"},
	"language":       {"日本語", "English"},
	"sign-out":       {"Sign out", "ログアウト"},
	"signed-in":      {"Signed in: %s", "ログイン中：%s"},
	"back":           {"Back", "戻る"},
	"home":           {"Start page", "最初のページ"},
	"save":           {"Save", "保存する"},
	"name":           {"Name", "名前"},
	"caution":        {"A photo shows nothing of parasites or freshness. Keep the fish cold and follow your local food code. Put the knife down before you touch the phone.", "写真では寄生虫や鮮度は分かりません。魚は冷やしたまま扱い、地域の食品衛生の決まりに従ってください。電話に触る前に包丁を置いてください。"},
	"cautions":       {"Cautions", "注意"},
	"caution-mat":    {"The printed mat is not a surface for food: lay a clear food-grade sheet over it, one for each batch, and keep coins and cards off it.", "印刷したマットは食品を置く面ではありません。食品用の透明シートを毎回新しく敷き、硬貨やカードは載せないでください。"},
	"caution-cold":   {"Take the photo quickly and put the fish back in the cold. This program keeps no record of temperature and proves nothing about safety.", "手早く撮り、魚を冷蔵に戻してください。このプログラムは温度を記録せず、安全を証明するものではありません。"},
	"caution-law":    {"A photo shows nothing of parasites, freshness or whether fish was frozen. Follow your local food code and the people licensed to apply it.", "写真では寄生虫、鮮度、冷凍の有無は分かりません。地域の食品衛生の決まりと、資格を持つ人の判断に従ってください。"},
	"caution-hands":  {"A phone is not clean: wash your hands between phone and fish. Mind allergens when species share a board.", "電話は清潔ではありません。電話に触ったら、魚に触る前に手を洗ってください。同じまな板で別の種類を切るときはアレルギーに注意してください。"},
	"caution-knife":  {"Knife angles are a plan, not something to follow with your eyes on a screen. Put the knife down before you touch the phone.", "包丁の角度は目安です。画面を見ながら切らないでください。電話に触る前に包丁を置いてください。"},
	"front-title":    {"Slices, checked by photo", "切りつけを写真で確認"},
	"front-link":     {"Have you a link or a QR code of your own? Open it: you need nothing else.", "自分用のリンクやQRコードがある人は、それを開くだけで使えます。"},
	"join-title":     {"Join the class", "クラスに入る"},
	"class-code":     {"Class code", "クラスコード"},
	"code-hint":      {"Eight digits, on the class board", "8桁の数字。クラスのボードに書いてあります"},
	"next":           {"Next", "次へ"},
	"staff-title":    {"Instructor or chef", "先生・料理人"},
	"sign-in":        {"Sign in", "ログイン"},
	"passcode":       {"Passcode", "パスコード"},
	"who-are-you":    {"Who are you?", "あなたは誰ですか"},
	"pick-name":      {"Pick the name that belongs to the label on your mat. On this phone you will see the photos that you send from it; your own link shows earlier ones too.", "マットのラベルと同じ名前を選んでください。この電話には、ここから送った写真だけが表示されます。以前の写真は自分用のリンクで見られます。"},
	"no-roster":      {"The class list is empty. Ask your instructor.", "名簿が空です。先生に聞いてください。"},
	"wrong-code":     {"That code is not today's. Look at the board and type it again.", "コードが違います。ボードを見て、もう一度入力してください。"},
	"wrong-passcode": {"Name and passcode do not belong together. Type them again.", "名前とパスコードが合いません。もう一度入力してください。"},
	"wrong-link":     {"This link is not valid any more. Ask your instructor for a new one.", "このリンクはもう使えません。先生に新しいリンクをもらってください。"},
	"not-found":      {"There is no such page", "ページがありません"},
	"not-found-text": {"Nothing is here, or it is not yours to see.", "ここには何もないか、あなたには見られないものです。"},
	"must-sign-in":   {"Sign in first", "先にログインしてください"},
	"must-text":      {"This page is for people who are signed in. Open your link again, or sign in on the start page.", "ログインした人のページです。自分用のリンクをもう一度開くか、最初のページでログインしてください。"},
	"slow-down":      {"Too many tries", "回数が多すぎます"},
	"slow-text":      {"Wait %d seconds, then try again.", "%d秒待ってから、もう一度試してください。"},
	"trouble":        {"That did not work", "うまくいきませんでした"},
	"trouble-text":   {"The program has a fault of its own; it is written in the server's log. Try again, or tell your instructor.", "プログラム側の問題です。サーバーの記録に残りました。もう一度試すか、先生に伝えてください。"},
	"cross-origin":   {"The form came from another page. Open the page again and send it from there.", "別のページから送られたフォームです。ページを開き直して、そこから送ってください。"},
	"bad-form":       {"The form did not arrive as it should. Open the page again and send it once more.", "フォームが正しく届きませんでした。ページを開き直して、もう一度送ってください。"},
}

// traineeWords are about taking and sending a photo.
var traineeWords = map[string]inBoth{
	"nav-tray":       {"New photo", "写真を送る"},
	"nav-past":       {"Past trays", "これまでの皿"},
	"tray-title":     {"Your tray", "あなたの皿"},
	"no-class":       {"No class is open yet", "まだクラスが始まっていません"},
	"no-class-text":  {"Ask your instructor to open one, then load this page again.", "先生がクラスを開いたら、このページを読み込み直してください。"},
	"class-is":       {"Class: %s", "クラス：%s"},
	"how-title":      {"Before you take the photo", "撮る前に"},
	"how-1":          {"Put the knife down. Wipe the lens.", "包丁を置く。レンズを拭く。"},
	"how-2":          {"Slices lie apart on the blue field, on a clear clean sheet.", "透明できれいなシートを敷き、青い面に切り身を離して並べる。"},
	"how-3":          {"Hold the phone flat, straight above the middle, 40 to 50 cm high.", "電話を水平にして、真上から、高さ40〜50 cmで構える。"},
	"how-4":          {"The whole mat is in the picture, nothing lies on its border.", "マット全体を入れ、縁には何も載せない。"},
	"how-5":          {"No flash, no zoom. Step out of the lamp's mirror image.", "フラッシュとズームは使わない。照明の映り込みを避ける。"},
	"photo":          {"Photo of the tray", "皿の写真"},
	"optional":       {"If you know them", "分かる場合だけ"},
	"thickness":      {"Thickness, mm", "厚さ（mm）"},
	"thickness-hint": {"One number for all (4.2) or slice by slice (1:4.2,2:3.9). Without it, or the weight, no weight is given.", "全体で一つ（4.2）または一切れずつ（1:4.2,2:3.9）。厚さか重さがないと、重さは出ません。"},
	"tray-weight":    {"Weight of all slices together, g", "切り身全部の重さ（g）"},
	"or-hint":        {"Enter the thickness or the weight, not both.", "厚さか重さの、どちらか一方を入力してください。"},
	"species":        {"Fish", "魚の種類"},
	"as-class":       {"as told for the class", "クラスと同じ"},
	"not-told":       {"not told", "指定しない"},
	"send":           {"Send the photo", "写真を送る"},
	"sending":        {"Sending…", "送信中…"},
	"send-failed":    {"The photo did not arrive. Go nearer to the Wi-Fi and send it again; it counts only once.", "写真が届きませんでした。Wi-Fiに近づいて、もう一度送ってください。二重には数えません。"},
	"choose-photo":   {"Choose a photo first.", "先に写真を選んでください。"},
	"received":       {"Received: the photo is safe here.", "受け取りました。写真は保存されています。"},
	"waiting":        {"Waiting. Photos before yours: %d", "順番待ち。先にある写真：%d枚"},
	"measuring":      {"Measuring…", "計測中…"},
	"you-may-leave":  {"You may put the phone away; the result stays here.", "電話をしまってもかまいません。結果はここに残ります。"},
	"progress":       {"Progress", "進み具合"},
	"busy":           {"Busy, try again in a minute", "混み合っています。1分後にもう一度送ってください"},
	"busy-text":      {"So many photos are waiting that yours was not taken in. Keep it and send it again.", "順番待ちが多く、写真を受け取れませんでした。写真を残しておき、もう一度送ってください。"},
	"disk-full":      {"The disk of the server is full. Nothing was taken in; tell your instructor.", "サーバーの容量がいっぱいで、受け取れませんでした。先生に伝えてください。"},
	"too-large":      {"The photo is too large. Set the phone to its usual photo size and take it again.", "写真が大きすぎます。電話を普通の写真サイズにして、撮り直してください。"},
	"not-a-photo":    {"This is not a photo that can be read. Send a JPEG, PNG or HEIC picture as the phone saved it.", "読み取れる写真ではありません。電話が保存したままの JPEG、PNG、HEIC を送ってください。"},
	"cut-short":      {"The photo did not arrive whole. Send it again.", "写真が途中までしか届きませんでした。もう一度送ってください。"},
	"entered-wrong":  {"Something you entered cannot be", "入力に間違いがあります"},
	"not-taken":      {"The photo was not taken in", "写真は受け取られませんでした"},
	"past-title":     {"Your past trays", "これまでの皿"},
	"past-none":      {"None yet.", "まだありません。"},
	"past-limited":   {"Here are the photos sent from this phone. Your own link shows earlier ones and the trend.", "この電話から送った写真です。以前の写真と成績の移り変わりは自分用のリンクで見られます。"},
	"trend-title":    {"Your grade, class by class", "クラスごとの成績"},
	"trend-alt":      {"Your grades in percent, oldest first: %s", "成績（％）、古い順：%s"},
	"trend-few":      {"The trend shows once you have a grade in two classes.", "二つのクラスで成績がつくと、移り変わりが表示されます。"},
	"grade-now":      {"Grade in this class so far: %s %%", "このクラスの今の成績：%s %%"},
	"state-waiting":  {"waiting", "順番待ち"},
	"state-measuring": {
		"being measured", "計測中"},
	"state-measured": {"measured", "計測済み"},
	"state-refused":  {"photo refused", "写真の撮り直し"},
	"state-failed":   {"not measured", "計測できず"},
	"passed-of":      {"%d of %d pass", "%d／%d 合格"},
}
