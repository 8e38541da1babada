using System.Text;
using Graftbench.Sheets.Drawing;

namespace Graftbench.Sheets.Sheet;

/// <summary>The style of the HTML sheet: dark on a dark screen, black on white on paper.</summary>
internal static class SheetStyle
{
    public static string Css { get; } = Build();

    private static string Build()
    {
        StringBuilder css = new();
        css.Append(":root{").Append(Inks.Css(dark: false)).Append("}\n");
        css.Append("@media screen and (prefers-color-scheme:dark){:root{").Append(Inks.Css(dark: true)).Append("}}\n");
        css.Append(Rules);
        for (int share = 1; share <= 100; share++)
        {
            css.Append(".w").Append(share).Append("{width:").Append(share).Append("%}");
        }
        return css.Append('\n').ToString();
    }

    private const string Rules = """
        *{box-sizing:border-box}
        body{margin:0;background:var(--gb-paper);color:var(--gb-text);font:15px/1.42 'Liberation Sans',Arial,Helvetica,sans-serif}
        main{max-width:60rem;margin:0 auto;padding:0 1rem 3rem}
        .running{max-width:60rem;margin:0 auto;padding:.6rem 1rem;color:var(--gb-muted);font-size:.8rem}
        h1{font-size:1.7rem;line-height:1.2;margin:.4rem 0 .8rem}
        h2{font-size:1.25rem;margin:2rem 0 .5rem;padding-top:.35rem;border-top:2px solid var(--gb-text)}
        h3{font-size:1.05rem;margin:1.3rem 0 .3rem}
        h1,h2,h3,p,td,dd,li,caption{overflow-wrap:anywhere}
        p{margin:.4rem 0}
        .strong{font-weight:700}
        .small{font-size:.86rem;color:var(--gb-muted)}
        .banner{display:flex;gap:.7rem;align-items:center;flex-wrap:wrap;border:3px solid var(--gb-text);border-radius:.4rem;padding:.6rem .8rem;font-size:1.05rem}
        .banner strong{font-size:1.5rem}
        .banner span{flex:1 1 20rem}
        .banner svg.gb-sign{width:2.2rem;height:2.2rem}
        .banner.blocker{border-color:var(--gb-alert)}
        .banner.fixfirst,.banner.warning{border-color:var(--gb-warn)}
        .banner.ok{border-color:var(--gb-good)}
        .banner.unknown{border-style:dashed}
        dl{display:grid;grid-template-columns:repeat(2,minmax(0,1fr));gap:.15rem 1.6rem;margin:.7rem 0}
        dl div{display:grid;grid-template-columns:9.5rem minmax(0,1fr);gap:.6rem;border-bottom:1px solid var(--gb-grid);padding:.2rem 0}
        dt{color:var(--gb-muted)}
        dd{margin:0;font-weight:700}
        .missing dd{color:var(--gb-alert)}
        .missing dt::after{content:" ?"}
        .ticks{list-style:none;padding:0;margin:.4rem 0}
        .ticks li{display:flex;gap:.6rem;padding:.25rem 0}
        .box{flex:none;display:inline-block;width:1.15em;height:1.15em;border:2px solid var(--gb-text);border-radius:2px}
        svg.gb-sign{width:1.15em;height:1.15em;vertical-align:-.2em;margin-right:.35em}
        svg.gb-picture{display:block;width:100%;height:auto}
        figure{margin:.6rem 0}
        figcaption{font-size:.86rem;color:var(--gb-muted)}
        .pictures.row{display:grid;grid-template-columns:repeat(2,minmax(0,1fr));gap:1rem}
        table{border-collapse:collapse;width:100%;table-layout:fixed;margin:.5rem 0;font-size:.92rem}
        caption{text-align:left;color:var(--gb-muted);padding:.2rem 0}
        th,td{text-align:start;vertical-align:top;border:1px solid var(--gb-grid);padding:.3rem .45rem}
        th{background:var(--gb-board)}
        .pen td{height:2.3rem}
        .sign{display:grid;grid-template-columns:repeat(2,minmax(0,1fr));gap:2rem;margin-top:3.2rem}
        .sign p{border-top:1px solid var(--gb-text);padding-top:.2rem;font-size:.86rem}
        @media (max-width:40rem){.pictures{width:auto !important}dl,.pictures.row{grid-template-columns:minmax(0,1fr)}dl div{grid-template-columns:7.5rem minmax(0,1fr)}}
        @media print{
        @page{margin:13mm 12mm 15mm;@bottom-right{content:"page " counter(page) " of " counter(pages);font:9pt Arial,sans-serif}}
        body{font-size:9.6pt;background:#fff;color:#000}
        main,.running{max-width:none;padding:0}main{line-height:1.3}
        .running{font-size:8pt}
        h1{font-size:16pt;margin:1mm 0 2mm}h2{font-size:12pt;margin-top:4mm}h3{font-size:10.4pt;margin-top:3mm}
        p{margin:1mm 0}.banner{padding:1.5mm 2.5mm}.banner strong{font-size:15pt}th,td{padding:.8mm 1.2mm}table{margin:1mm 0 2mm}
        h2,h3,caption{break-after:avoid}
        tr,figure,.banner,dl,.ticks li,.sign{break-inside:avoid}
        tbody tr:first-child{break-before:avoid}
        thead{display:table-header-group}
        table{font-size:8.6pt}
        figure{margin:.5mm 0}.small,figcaption,caption{font-size:8pt;color:#333}dl{margin:1mm 0}dl div{padding:.3mm 0}
        th{background:none;border-bottom:1.5pt solid #000}
        .pen td{height:8mm}.sign{break-before:avoid}
        }

        """;
}
