// Asks the worktable's own server; whatever goes wrong comes back as one sentence.

export class Problem extends Error {
  constructor(told) {
    super(told.text);
    this.told = told;
  }
}

async function answerOf(request) {
  let response;
  try {
    response = await request;
  } catch {
    throw new Problem({ text: "kitprep does not answer; it may be closed. Start it again, then load this page again." });
  }
  const isJson = (response.headers.get("content-type") || "").includes("json");
  const answer = isJson ? await response.json() : await response.text();
  if (!response.ok) {
    const text = `kitprep answered with a fault (${response.status}); load this page again.`;
    throw new Problem(isJson && answer.error ? answer.error : { text });
  }
  return answer;
}

export const get = (path) => answerOf(fetch(path));

export const post = (path, given = {}) =>
  answerOf(fetch(path, { method: "POST", headers: { "Content-Type": "application/json" }, body: JSON.stringify(given) }));

export const put = (path, file) => answerOf(fetch(path, { method: "PUT", body: file }));

/** Wait for a long work, telling `progress` how far it is. */
export async function finished(begun, progress) {
  let work = begun;
  while (work.state === "working") {
    progress(work);
    await new Promise((done) => setTimeout(done, 200));
    work = await get(`/api/works/${work.work}`);
  }
  if (work.state === "failed") throw new Problem(work.error);
  return work.answer;
}
