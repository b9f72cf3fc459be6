// Whether the parts of the page that are about the worked draft say what is expected; waits until they do, for a while.
(async (expected, patience) => {
    const norm = (text) => text.replaceAll("\u00a0", " ").replace(/\s+/g, " ").trim();
    const parts = () =>
        [...document.querySelectorAll("main [data-part]")].filter(
            (node) => !node.closest(".foldmark-kit") && node.dataset.block !== "homework",
        );
    const lines = (node) => {
        if (!node.classList.contains("foldmark-part")) return [norm(node.textContent)];
        const found = [...node.querySelectorAll("p, li, tr, figcaption, .warning")];
        return found.map((line) => norm([...(line.cells ?? [line])].map((cell) => cell.textContent).join(" | ")));
    };
    const svg = (text) => {
        const template = document.createElement("template");
        template.innerHTML = text;
        return template.innerHTML;
    };
    const known = new Map(expected.map((one) => [one.part, { lines: one.lines.map(norm), figures: one.figures.map(svg) }]));
    const differing = () => {
        const faults = [];
        for (const node of parts()) {
            const wanted = known.get(Number(node.dataset.part));
            const where = `part ${node.dataset.part} (${node.localName})`;
            if (!wanted) {
                faults.push(`${where}: nothing is known of it`);
                continue;
            }
            const said = lines(node);
            const at = Math.max(wanted.lines.length, said.length);
            for (let i = 0; i < at; i++) {
                if (said[i] !== wanted.lines[i]) faults.push(`${where}: “${said[i]}” instead of “${wanted.lines[i]}”`);
            }
            const drawn = [...node.querySelectorAll("svg")].map((one) => one.outerHTML.replace(/own-[\w.-]*?-\d+-\d+/g, "ID"));
            if (drawn.length !== wanted.figures.length) faults.push(`${where}: ${drawn.length} figures instead of ${wanted.figures.length}`);
            drawn.forEach((one, i) => {
                if (one !== wanted.figures[i]) faults.push(`${where}: figure ${i + 1} is another: ${one.slice(0, 300)} … ${wanted.figures[i]?.slice(0, 300)}`);
            });
        }
        return faults;
    };
    const end = performance.now() + patience;
    let faults = differing();
    while (faults.length > 0 && performance.now() < end) {
        await new Promise((done) => setTimeout(done, 25));
        faults = differing();
    }
    const ids = [...document.querySelectorAll("[id]")].map((node) => node.id);
    const twice = ids.filter((id, i) => ids.indexOf(id) !== i);
    if (twice.length > 0) faults.push(`identifiers stand twice: ${twice.join(", ")}`);
    return { faults, parts: parts().length, figures: parts().flatMap((node) => [...node.querySelectorAll("svg")]).length };
})
