-- Neovim with the language server: what it marks, offers and mends in a design. Run by
--   HOLDPOINT=… DRAFT=… nvim --headless -u NONE -i NONE -n -S editor.lua
-- It says DONE and ends with 0 where all is as it should be.
local function check(truth, words)
  if not truth then error(words, 2) end
end

local function by_rule(rule)
  local found = {}
  for _, one in ipairs(vim.diagnostic.get(0)) do
    if one.code == rule or (one.user_data and one.user_data.lsp and one.user_data.lsp.code == rule) then
      table.insert(found, one)
    end
  end
  return found
end

local function place(words)
  local row = vim.fn.search('\\V' .. words, 'w')
  check(row > 0, 'the draft has no ' .. words)
end

local function drive()
  vim.cmd('edit ' .. vim.fn.fnameescape(vim.env.DRAFT))
  local client = vim.lsp.start_client({
    name = 'holdpoint',
    cmd = { vim.env.HOLDPOINT, 'language-server', '--today', '2026-06-01' },
    root_dir = vim.fn.fnamemodify(vim.env.DRAFT, ':h'),
  })
  check(client, 'the server does not start')
  vim.lsp.buf_attach_client(0, client)
  check(vim.wait(20000, function() return #by_rule('bay-vent-area') == 1 end), 'bay-vent-area is not marked')
  local found = by_rule('bay-vent-area')[1]
  check(found.severity == vim.diagnostic.severity.ERROR, 'it is no error')
  check(vim.fn.getline(found.lnum + 1):find('statics: {count: 2', 1, true), 'it stands in another line')

  -- Completion: a word of an enumeration, taken as the editor takes it.
  place('shape: tangent ogive')
  local line = vim.fn.getline('.'):gsub('tangent ogive', 'el')
  vim.fn.setline('.', line)
  vim.api.nvim_win_set_cursor(0, { vim.fn.line('.'), #line })
  local answers = vim.lsp.buf_request_sync(0, 'textDocument/completion', {
    textDocument = vim.lsp.util.make_text_document_params(),
    position = { line = vim.fn.line('.') - 1, character = #line },
  }, 20000)
  local words = vim.lsp.util.text_document_completion_list_to_complete_items(answers[client].result, 'el')
  check(#words == 1 and words[1].word == 'ellipsoid', vim.inspect(words))
  vim.fn.setline('.', (line:gsub('el$', words[1].word)))
  check(vim.wait(20000, function()
    for _, one in ipairs(vim.diagnostic.get(0)) do
      if one.message:find('is not a word known here', 1, true) then return false end
    end
    return true
  end), 'the word that was offered is not taken')

  -- A code action: the remedy that was tried, chosen in the editor's own menu.
  place('0.085 in')
  vim.ui.select = function(items, _, chosen)
    for _, item in ipairs(items) do
      if (item[2] or item.action).title:find('^drill each of the 2 holes') then return chosen(item) end
    end
    error('no such action: ' .. vim.inspect(items))
  end
  vim.lsp.buf.code_action()
  check(vim.wait(20000, function() return vim.fn.search('\\Vdiameter: 5/32 in', 'nw') > 0 end), 'the remedy is not made')
  check(vim.wait(20000, function() return #by_rule('bay-vent-area') == 0 end), 'the finding is still marked')

  vim.lsp.stop_client(client)
  check(vim.wait(20000, function() return #vim.lsp.get_active_clients() == 0 end), 'the server does not end')
end

local ok, why = xpcall(drive, debug.traceback)
io.stdout:write(ok and 'DONE\n' or (why .. '\n'))
vim.cmd(ok and 'qall!' or 'cquit!')
